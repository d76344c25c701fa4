//! The screen, plain for now: the question, what is typed, what is told.

use super::theme::Theme;
use super::ui::Ui;
use crate::session::desk::{Message, State};
use ratatui::Frame;
use ratatui::widgets::{Paragraph, Wrap};

/// Draws everything.
pub fn draw(frame: &mut Frame<'_>, state: &State, ui: &Ui, _theme: &Theme) {
    let question = state.question();
    let mut lines = Vec::new();
    if ui.help {
        lines.push("Keys".to_owned());
        for row in super::keys::table().iter().skip(usize::from(ui.help_scroll)) {
            lines.push(format!("{:<12} {}", row.keys, row.words));
        }
    } else {
        lines.push(question.text.clone());
        lines.extend(question.hints.iter().cloned());
        lines.push(question.wanted());
        lines.push(format!("> {}", state.desk.typed));
        if let Some(note) = &ui.note {
            lines.push(note.clone());
        }
        lines.push(match &state.desk.message {
            Some(Message::Recorded(seq)) => format!("recorded {seq}"),
            Some(Message::Note(note)) => note.clone(),
            None => String::new(),
        });
        let keys = super::keys::footer(state, ui).into_iter().map(|(key, word)| format!("{key} {word}"));
        lines.push(keys.collect::<Vec<_>>().join("  "));
    }
    let text = lines.join("\n");
    frame.render_widget(Paragraph::new(text).wrap(Wrap { trim: false }), frame.area());
}
