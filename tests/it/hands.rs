//! Who is on the tool: asked when a visit is gone on with, and put right where it was mistyped. Our own rules.

use crate::desk::Person;
use crate::goes_on::resumed;
use crate::rig::snap;
use crate::screens::as_seen;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use witnessmark::appendix::{Options, print};
use witnessmark::domain::record::Fact;
use witnessmark::session::desk::{Command, Question};
use witnessmark::session::replay;
use witnessmark::tui::theme::Theme;
use witnessmark::tui::ui::Ui;
use witnessmark::tui::view;

const OFFICE: &str = include_str!("../../boards/ticket-office.ron");

fn asks(words: &'static str) -> impl Fn(&Question) -> bool {
    move |question| question.text.contains(words)
}

fn at_work() -> Person {
    let mut person = Person::at_board(OFFICE);
    person.words = &crate::revisit::WORDS;
    person.until(asks("The entry is"));
    person
}

fn snapshot(person: &Person, name: &str) {
    for (columns, rows) in [(80, 24), (120, 40)] {
        let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
        let (ui, theme) = (Ui::default(), Theme::colours());
        terminal.draw(|frame| view::draw(frame, &person.state, &ui, &theme)).unwrap();
        let visible = terminal.backend().cursor_visible();
        let cursor = if visible { Some(terminal.get_cursor_position().unwrap()) } else { None };
        let text = as_seen(terminal.backend().buffer(), cursor);
        snap().bind(|| insta::assert_snapshot!(format!("screen_{name}_{columns}x{rows}"), text));
    }
}

#[test]
fn who_goes_on_with_a_visit_is_asked_first_and_the_same_hands_cost_one_key() {
    let before = at_work();
    let mut again = resumed(&before.memory.lines, &before.state.desk.start, before.second + 5);
    assert!(again.state.question().text.contains("Who is on the tool now?"), "{:?}", again.state.question());
    snapshot(&again, "gone_on_with");
    let lines = again.memory.lines.len();
    again.says("");
    assert!(again.state.question().text.contains("Who proved this board dead?"));
    assert_eq!(again.memory.lines.len(), lines, "the same person is no news");
    assert_eq!(again.state.desk.who, before.state.desk.who);
}

#[test]
fn another_person_who_goes_on_is_recorded_and_answers_the_gate_for_himself() {
    let before = at_work();
    let mut again = resumed(&before.memory.lines, &before.state.desk.start, before.second + 5);
    for said in ["somebody else", "Bram Weir", "", ""] {
        again.says(said);
    }
    let Fact::Person(joined) = again.memory.lines.last().unwrap().fact.clone() else { panic!("no person") };
    assert_eq!((joined.name.as_str(), joined.role.as_str()), ("Bram Weir", "electrician"));
    assert_eq!(again.state.desk.who, joined.id);
    assert!(again.state.question().text.contains("Who proved this board dead?"));
    again.words = before.words;
    again.until(asks("The entry is"));
    let Fact::Gates(gates) = &again.memory.lines.last().unwrap().fact else { panic!("no gate") };
    assert_eq!(gates.person, joined.id);
    // back again, the other one is offered no more than he was
    let mut third = resumed(&again.memory.lines, &again.state.desk.start, again.second + 5);
    third.says("1");
    third.says("1");
    assert_eq!(third.state.desk.who.0, "P1");
}

#[test]
fn a_mistyped_name_and_certificate_are_put_right_and_both_stay_readable() {
    let mut person = at_work();
    let before = person.state.visit.opened().unwrap().clone();
    person.does(Command::List);
    person.says("an earlier answer was a slip");
    let witnessmark::session::desk::Answers::Choice(list) = person.state.question().answers else { panic!() };
    assert!(list.last().unwrap().ends_with("opened by Rowan Ashby, electrician; certificate EIC 2026-118"));
    person.says(&list.len().to_string());
    snapshot(&person, "slip_of_the_opening");
    for said in ["Rowan Ashbury", "", "EIC 2026-181", ""] {
        person.says(said);
    }
    let opened = person.state.visit.opened().unwrap();
    assert_eq!(opened.person.name, "Rowan Ashbury");
    assert_eq!(opened.certificate, "EIC 2026-181");
    assert_eq!((&opened.board, &opened.id), (&before.board, &before.id));
    assert_eq!(person.state.visit.persons()[0].name, "Rowan Ashbury");
    assert_eq!(person.state.visit, replay(&person.memory.lines));
    person.walks_to_the_end();
    let page = print(&person.state.visit, Options { ascii: false });
    let flat = page.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "Certificate EIC 2026-181",
        "P1: Rowan Ashbury, electrician",
        "Was opened by Rowan Ashby, electrician; certificate EIC 2026-118",
        "Is opened by Rowan Ashbury, electrician; certificate EIC 2026-181",
    ] {
        assert!(flat.contains(words), "{words}: {page}");
    }
}

#[test]
fn nothing_else_of_an_opening_is_a_slip() {
    use witnessmark::session::{Act, decide};
    let person = at_work();
    let visit = &person.state.visit;
    let Fact::Opened(opened) = &visit.lines()[0].fact else { panic!("an opening") };
    let mut other = (**opened).clone();
    other.board.title = "another board".into();
    other.person.name = "Rowan".into();
    let fact = Box::new(Fact::Opened(Box::new(other)));
    let act = Act::Correct { seq: visit.lines()[0].seq, terminal: None, fact, why: "mistyped".into() };
    let refused = decide(visit, &person.state.desk.who, &act).unwrap_err();
    assert!(refused.to_string().contains("only the person and the certificate"), "{refused}");
}
