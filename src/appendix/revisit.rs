//! A revisit reads as a continuation: what was disturbed and by whom, what was found, what was done, compared with the
//! earlier record that it names by its closing link. Page one says who must do what, told when.

use super::letters::glued;
use super::sheet::Sheet;
use super::words;
use crate::domain::names::TerminalName;
use crate::domain::record::{
    AsideWhy, Fact, Happened, HeatAt, InScope, InScopeWhy, Known, Line, LookResult, Outcome, Scope, Turned,
    VisitKind,
};
use crate::session::audit::look_at;
use crate::session::desk::looked::last_time_in_words;
use crate::session::{Informed, RemarkWhy, Standing, Step, TerminalIndex, Visit, standing_torques};

/// First on page one: what it came back for, how many of the disturbed were checked, and who must do what.
pub(super) fn top(visit: &Visit, sheet: &mut Sheet) {
    if visit.kind() != VisitKind::Revisit {
        return;
    }
    let Some((seq, scope)) = visit.scope() else {
        sheet.gap();
        sheet.text("REVISIT. What was disturbed is not said yet.");
        return;
    };
    sheet.gap();
    sheet.text(format!("REVISIT AFTER: {} ({}).", happened(scope), words::line(seq)));
    if let Some(said) = isolation_needed(visit, scope) {
        sheet.gap();
        sheet.text(said);
    }
    sheet.gap();
    sheet.text(format!("{}.", found(visit)));
    must_do(visit, scope, sheet);
}

/// How the terminals in scope ended: held, moved and tightened once more, made off anew, set aside.
fn found(visit: &Visit) -> String {
    let counts = visit.counts();
    let (mut held, mut moved, mut anew, mut new) = (0_usize, 0_usize, 0_usize, 0_usize);
    for (at, terminal, standing) in visit.terminals() {
        if !matches!(standing.outcome, Outcome::Complete | Outcome::CompleteWithRemark) {
            continue;
        }
        let turned = standing_torques(visit, at).iter().any(|(_, t)| t.turned == Some(Turned::Moved));
        let is_new = visit.in_scope(&terminal.name).is_some_and(|entry| entry.why == InScopeWhy::New);
        let slot = if is_new {
            &mut new
        } else if !standing.steps.contains(&Step::Look) {
            &mut anew
        } else if turned || standing.steps.iter().any(|step| matches!(step, Step::Torque { .. })) {
            &mut moved
        } else {
            &mut held
        };
        *slot = slot.saturating_add(1);
    }
    let parts = [
        (held, "held"),
        (moved, "moved and made fast again"),
        (anew, "made off anew"),
        (new, "new and made off"),
        (counts.aside, "set aside"),
        (counts.open.saturating_add(counts.settling), "still open"),
    ];
    let said: Vec<String> =
        parts.into_iter().filter(|(n, _)| *n > 0).map(|(n, words)| format!("{n} {words}")).collect();
    let all = words::count(counts.in_scope(), "terminal", "terminals");
    let remarks = match counts.with_remark {
        0 => String::new(),
        n => format!("; {n} of them with a remark"),
    };
    format!("{all} in scope: {}{remarks}", said.join(", "))
}

fn happened(scope: &Scope) -> String {
    let nobodys = matches!(scope.happened, Happened::HeatOrSmell | Happened::Vibration);
    if nobodys && scope.by.is_none() && scope.checked_by_them != Known::Yes {
        // nobody did it, so that nobody could have checked anything
        return scope.happened.words().to_owned();
    }
    let by = scope.by.as_ref().map_or_else(|| "by whom is not known".to_owned(), |by| format!("by {by}"));
    let checked = match scope.checked_by_them {
        Known::Yes => "the tightness is said to have been checked then, which leaves nothing out here",
        Known::No => "the tightness was not checked then",
        Known::NotKnown => "whether the tightness was checked then is not known",
    };
    format!("{}, {by}; {checked}", scope.happened.words())
}

/// `0 OF 4 DISTURBED TERMINALS CHECKED: ISOLATION NEEDED`, where something stays live.
fn isolation_needed(visit: &Visit, scope: &Scope) -> Option<String> {
    let live = visit.terminals().any(|(_, _, s)| s.aside == Some(AsideWhy::StillLive));
    let disturbed = || scope.terminals.iter().filter(|entry| entry.why == InScopeWhy::Disturbed);
    let checked = disturbed().filter(|entry| is_checked(visit, &entry.terminal)).count();
    live.then(|| {
        format!("{checked} OF {} DISTURBED TERMINALS CHECKED: ISOLATION NEEDED.", disturbed().count())
    })
}

/// Whether a hand was laid on it in this visit.
fn is_checked(visit: &Visit, name: &TerminalName) -> bool {
    visit.find(name).is_some_and(|at| {
        visit.lines_about(at).any(|line| {
            matches!(line.fact, Fact::Tugged(_) | Fact::Torqued(_) | Fact::Movement(_) | Fact::Entered(_))
        })
    })
}

fn must_do(visit: &Visit, scope: &Scope, sheet: &mut Sheet) {
    let mut groups: Vec<(String, String, Vec<TerminalName>)> = Vec::new();
    for (at, terminal, standing) in visit.terminals() {
        let burnt = look_at(visit, &terminal.name).and_then(LookResult::heat) == Some(HeatAt::ClampOrDevice);
        let Some(what) = to_do(standing, burnt) else { continue };
        let told = told(visit, at, standing);
        match groups.iter_mut().find(|(known, who, _)| *known == what && *who == told) {
            Some((_, _, names)) => names.push(terminal.name.clone()),
            None => groups.push((what, told, vec![terminal.name.clone()])),
        }
    }
    if groups.is_empty() && scope.not_ours.is_empty() && scope.dropped.is_empty() {
        return;
    }
    let distributor_told = visit.terminals().any(|(_, _, standing)| {
        standing.aside == Some(AsideWhy::Distributor) && matches!(standing.told, Informed::Told(_))
    });
    sheet.gap();
    sheet.lead("WHO MUST DO WHAT:");
    for (what, told, names) in groups {
        sheet.item(format!("{}: {what}. {told}.", words::compact(visit, &names)));
    }
    for dropped in &scope.dropped {
        sheet.item(format!(
            "{}: belongs to the scope and was left out, {}: to be checked. Nobody is recorded as told.",
            glued(dropped.terminal.as_str()),
            dropped.why
        ));
    }
    for end in &scope.not_ours {
        let told = if distributor_told { "" } else { " Nobody is recorded as told of them." };
        sheet.item(format!(
            "{end}: beyond the supplier's seals, not touched here; the supplier's to answer for.{told}"
        ));
    }
}

/// What is left to be done at a terminal.
fn to_do(standing: &Standing, burnt: bool) -> Option<String> {
    let Some(why) = standing.aside.as_ref() else {
        let by_hand = standing.remarks.contains(&RemarkWhy::NoMakersValue);
        return by_hand.then(|| {
            "the maker's torque has to be found and the terminal checked with it; it was only tried by hand".into()
        });
    };
    Some(match why {
        AsideWhy::StillLive => "to be isolated and checked; it was still live".into(),
        AsideWhy::Distributor => "the distributor has to see to the heat at the meter or cut-out".into(),
        AsideWhy::ReplaceDevice if !burnt => "the device has to be replaced".into(),
        AsideWhy::ReplaceDevice => {
            "the device has to be replaced; no new copper goes into what the heat has marked".into()
        }
        AsideWhy::NoAccess => "to be made accessible and checked".into(),
        AsideWhy::NoMakersValue => "the maker's torque has to be found, then it is checked".into(),
        AsideWhy::SpareWay => return None,
        AsideWhy::Other(words) => format!("set aside, {words}"),
    })
}

fn told(visit: &Visit, at: TerminalIndex, standing: &Standing) -> String {
    let when = visit
        .lines_about(at)
        .filter(|line| matches!(line.fact, Fact::Told(_)))
        .last()
        .map_or_else(String::new, |line| format!(", {} ({})", words::when(line), words::line(line.seq)));
    match &standing.told {
        _ if standing.aside.is_none() => "Nobody is recorded as told".into(),
        Informed::Told(whom) => format!("Told: {whom}{when}"),
        Informed::NobodyNeeded => "Nobody needed telling".into(),
        Informed::NotYet => "NOBODY WAS TOLD YET".into(),
    }
}

/// The scope, and every terminal in it beside the earlier record.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    let Some((seq, scope)) = visit.scope().filter(|_| visit.kind() == VisitKind::Revisit) else { return };
    sheet.heading("WHAT WAS DISTURBED");
    sheet.entry("Happened", format!("{} ({})", happened(scope), words::line(seq)));
    let follows = visit.opened().and_then(|opened| opened.follows.as_ref());
    match follows {
        Some(follows) => {
            sheet.entry("Compared with", format!("record {}, whose closing link is", follows.id));
            sheet.inside(follows.link.clone());
        }
        None => sheet.entry("Compared with", "nothing: no earlier record of this board is known"),
    }
    for (label, names) in reasons(scope) {
        sheet.entry("In scope", format!("{label}: {}", words::compact(visit, &names)));
    }
    for dropped in &scope.dropped {
        sheet.entry("Left out", format!("{}: {}", glued(dropped.terminal.as_str()), dropped.why));
    }
    if !scope.gone.is_empty() {
        sheet.entry("Gone", format!("no longer on the board: {}", words::terminals(&scope.gone)));
    }
    for end in &scope.not_ours {
        sheet.entry("Not ours", format!("{end}, beyond the supplier's seals"));
    }
    let outside = visit.counts().not_in_scope;
    if outside > 0 {
        sheet.entry(
            "Not in scope",
            format!("{}; nothing is said of them here", words::count(outside, "terminal", "terminals")),
        );
    }
    compared(visit, scope, sheet);
}

fn reasons(scope: &Scope) -> Vec<(String, Vec<TerminalName>)> {
    let mut groups: Vec<(String, Vec<TerminalName>)> = Vec::new();
    for entry in &scope.terminals {
        let label = match entry.how {
            Some(how) => format!("{}, {}", entry.why.words(), how.words()),
            None => entry.why.words().to_owned(),
        };
        match groups.iter_mut().find(|(known, _)| *known == label) {
            Some((_, names)) => names.push(entry.terminal.clone()),
            None => groups.push((label, vec![entry.terminal.clone()])),
        }
    }
    groups
}

fn compared(visit: &Visit, scope: &Scope, sheet: &mut Sheet) {
    sheet.heading("LAST TIME AND NOW");
    sheet.text(
        "Every terminal in scope: what the earlier record says of it, then what was found and done now, in order. A \
         torque at first movement is shown as loss from what was applied before and never judged: it rests on friction.",
    );
    for entry in &scope.terminals {
        let Some(at) = visit.find(&entry.terminal) else { continue };
        let Some(standing) = visit.standing(at) else { continue };
        sheet.together(|sheet| {
            sheet.gap();
            sheet.lead(format!("{} ({})", glued(entry.terminal.as_str()), why(entry)));
            sheet.under("before", before(entry));
            sheet.under("now", now(visit, at));
            sheet.under("so it is", ends(standing));
        });
    }
}

fn why(entry: &InScope) -> String {
    match entry.how {
        Some(how) => format!("{}: {}", entry.why.words(), how.words()),
        None => entry.why.words().to_owned(),
    }
}

fn before(entry: &InScope) -> String {
    let said = last_time_in_words(entry);
    let said = said.trim_start_matches("Last time: ").trim_end_matches('.');
    match (&entry.last, entry.why) {
        (Some(_), _) => said.to_owned(),
        (None, InScopeWhy::Changed) => "what is recorded was another terminal under this name".into(),
        (None, _) => "no earlier record of work on it".into(),
    }
}

/// What was found and done, in the order of the record.
fn now(visit: &Visit, at: TerminalIndex) -> String {
    let terminal = visit.terminal(at);
    let name = terminal.map(|terminal| &terminal.name);
    let bare = terminal.is_some_and(|terminal| terminal.conductors.is_empty());
    let of_work = |line: &&Line| {
        matches!(
            line.fact,
            Fact::Looked(_)
                | Fact::Movement(_)
                | Fact::Prepared(_)
                | Fact::Entered(_)
                | Fact::Torqued(_)
                | Fact::Tugged(_)
                | Fact::Marked(_)
                | Fact::Decided(_)
                | Fact::SettleReady(_)
                | Fact::SettleWaived(_)
                | Fact::Disturbed(_)
                | Fact::Remade(_)
                | Fact::Replaced(_)
        )
    };
    let said: Vec<String> = visit
        .lines_about(at)
        .filter(of_work)
        .map(|line| {
            let said = match visit.effective(line, name) {
                // a finger has no conductor to enter
                Fact::Entered(f) if bare && f.right => "seated".to_owned(),
                fact => words::fact(fact),
            };
            format!("{said} ({})", words::line(line.seq))
        })
        .collect();
    if said.is_empty() { "nothing was done there".into() } else { said.join("; ") }
}

fn ends(standing: &Standing) -> String {
    let attempt = match standing.attempt.0 {
        0 | 1 => String::new(),
        n => format!(", attempt {n}"),
    };
    let why = match (&standing.aside, standing.outcome) {
        (Some(why), _) => format!(": {}", words::aside(why)),
        (None, Outcome::CompleteWithRemark) => {
            let said: Vec<&str> = standing.remarks.iter().map(crate::session::RemarkWhy::words).collect();
            format!(": {}", said.join("; "))
        }
        (None, _) => String::new(),
    };
    format!("{}{attempt}{why}", standing.outcome.words())
}
