//! What the eye saw and what the screw did at a coming back, in words.

use crate::domain::record::{Looked, Movement};

/// A look, without its terminals.
pub(super) fn looked(f: &Looked) -> String {
    let how = f.untouched.as_ref().map_or_else(String::new, |untouched| {
        format!(" (without touching, decided by {})", untouched.decided_by)
    });
    format!("look{how}: {}", f.result.words())
}

/// What was found under the tool, without its terminal.
pub(super) fn movement(f: &Movement) -> String {
    let screw = f.screw.map_or_else(String::new, |screw| format!(" screw {screw}"));
    let at = f.at.map_or_else(String::new, |at| format!(", taken to {at}"));
    let loss = match (f.loss_percent(), &f.earlier) {
        (Some(loss), Some(earlier)) => format!(", loss {loss} % from {earlier} applied before"),
        _ => String::new(),
    };
    format!("tried{screw} with tool {}{at}: {}{loss}", f.tool, f.found.words())
}
