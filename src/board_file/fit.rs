//! Whether conductors and clamps go together.
//!
//! What the maker's torque cannot be found for is wrong; what does not fit its clamp is a finding of its own, for a
//! board may have been built by others, and is only warned of.

use super::build::Draft;
use super::cover;
use super::problem::{Findings, quoted};
use crate::domain::clamp::Clamp;
use crate::domain::conductor::{Metal, Preparation};
use std::collections::BTreeMap;

/// Checks every terminal against its clamp.
pub(super) fn check(drafts: &[Draft], clamps: &[Clamp], found: &mut Findings) {
    let clamps: BTreeMap<&str, &Clamp> = clamps.iter().map(|clamp| (clamp.name.as_str(), clamp)).collect();
    for draft in drafts {
        if let Some(clamp) = clamps.get(draft.terminal.clamp.as_str()) {
            terminal(draft, clamp, found);
        }
    }
}

fn terminal(draft: &Draft, clamp: &Clamp, found: &mut Findings) {
    let name = quoted(draft.terminal.name.as_str());
    let kind = quoted(clamp.name.as_str());
    let conductors = &draft.terminal.conductors;
    let most = usize::from(clamp.conductors_max);
    let mut warned = false;
    let mut warn = |reason: String, help: &str, found: &mut Findings| {
        warned = true;
        found.warn(draft.span.clone(), reason, help);
    };
    if conductors.len() > most {
        let reason = format!("{} conductors in {name}; its clamp {kind} takes {most}", conductors.len());
        warn(reason, "give each conductor a clamp of its own, or read the maker's number again", found);
    }
    for conductor in conductors {
        if !cover::accepts(clamp, conductor.class, conductor.csa_mm2) {
            let number = conductor.class.number();
            let reason = format!(
                "{} mm2, class {number}, in {name} is outside the capacity of its clamp {kind}",
                conductor.csa_mm2
            );
            warn(reason, "read the capacity on the device again, or use another clamp", found);
        }
        if conductor.metal == Metal::Aluminium && !clamp.aluminium {
            let reason = format!("aluminium in {name}; its clamp {kind} is not for aluminium");
            warn(reason, "write aluminium: Allowed in the clamp if its maker says so", found);
        }
        if let Some(planned) = conductor.planned.as_ref().filter(|it| !allowed(clamp, it)) {
            let reason = format!(
                "{} is planned in {name}; the maker of its clamp {kind} does not name it",
                planned.words()
            );
            warn(
                reason,
                "plan another preparation, or add this one to the clamp if its maker allows it",
                found,
            );
        }
    }
    if !warned && !draft.terminal.spare && !clamp.torque.is_empty() && clamp.torque_for(conductors).is_none()
    {
        let reason =
            format!("no single row of the torque table of the clamp {kind} holds for what is in {name}");
        let help = "different conductors share this clamp: ask the maker for the torque and state it as a clamp of its own";
        found.wrong(draft.span.clone(), reason, help);
    }
}

fn allowed(clamp: &Clamp, planned: &Preparation) -> bool {
    clamp.preparations.is_empty() || clamp.preparations.contains(planned)
}
