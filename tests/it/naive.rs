//! The second, naive reader: derives where every terminal stands from the JSON of a record alone.
//!
//! Written from the tables of the machine's description (steps by clamp, "when … then", spans, corrections) and
//! not from the program: it shares no type and no function with it, reads text, and walks the lines once for
//! each terminal. Slow and plain on purpose. Each terminal is read on the board as it stands at the end; where the
//! board was amended the two boards are compared here anew.

use crate::naive_audit::{Audit, Found};
use crate::naive_verdict;
use num_bigint::BigInt;
use serde_json::Value;
use std::collections::BTreeMap;

/// What the naive reader says of one terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Row {
    pub(crate) terminal: String,
    pub(crate) outcome: &'static str,
    pub(crate) attempt: u64,
    /// Answers given that no longer count.
    pub(crate) struck: usize,
    /// What the standing mark says, `-` where none stands.
    pub(crate) mark: String,
    /// A standing torque was done without a torque tool.
    pub(crate) by_hand: bool,
    /// At an audit, what was found in a word, and whether it is bad.
    pub(crate) found: Option<(&'static str, bool)>,
}

/// What the naive reader says of a record.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Reading {
    pub(crate) rows: Vec<Row>,
    /// Answers by mode.
    pub(crate) entered: BTreeMap<String, u64>,
}

impl Reading {
    /// How many terminals stand so.
    pub(crate) fn count(&self, outcome: &str) -> usize {
        self.rows.iter().filter(|row| row.outcome == outcome).count()
    }
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or("")
}

fn names(value: &Value) -> Vec<&str> {
    value.as_array().map(|list| list.iter().map(text).collect()).unwrap_or_default()
}

/// Kind and body of a fact.
fn split(fact: &Value) -> (&str, &Value) {
    let (kind, body) = fact.as_object().unwrap().iter().next().unwrap();
    (kind, body)
}

/// A decimal in a unit, as a whole number of 10^-28 of 10^-16 newton metres. Factors: exact by definition
/// (international pound 1959, standard gravity 3rd CGPM 1901, inch 25.4 mm).
fn torque(value: &str, unit: &str) -> BigInt {
    let factor: i128 = match unit {
        "N.m" => 10_000_000_000_000_000,
        "cN.m" => 100_000_000_000_000,
        "lbf.in" => 1_129_848_290_276_167,
        "lbf.ft" => 13_558_179_483_314_004,
        other => panic!("unit {other}"),
    };
    let (whole, fraction) = value.split_once('.').unwrap_or((value, ""));
    let digits = format!("{whole}{fraction:0<28}");
    digits.parse::<BigInt>().unwrap() * BigInt::from(factor)
}

fn quantity(value: &Value) -> BigInt {
    torque(text(&value["value"]), text(&value["unit"]))
}

/// Whether a tool applies more than a limit at a scale: by the straight line between the points beside it, if it has
/// any, and lengthened by its adapter. Multiplied out, so that nothing is divided.
fn applies_more(tool: &Value, scale: &BigInt, limit: &BigInt) -> bool {
    let unit = text(&tool["unit"]);
    let number = |value: &Value| torque(text(value), unit);
    let last = tool["calibrations"].as_array().and_then(|all| all.last());
    let points = last.and_then(|last| last["as_left"].as_array().or(last["as_found"].as_array()));
    let points: Vec<(BigInt, BigInt)> =
        points.into_iter().flatten().map(|p| (number(&p["set"]), number(&p["reference"]))).collect();
    let (mut over, mut under) = (scale.clone(), BigInt::from(1));
    for two in points.windows(2) {
        if two[0].0 <= *scale && *scale <= two[1].0 {
            under = &two[1].0 - &two[0].0;
            over = &two[0].1 * &under + (scale - &two[0].0) * (&two[1].1 - &two[0].1);
        }
    }
    if !tool["adapter"].is_null() {
        let length = |key: &str| torque(text(&tool["adapter"][key]), "N.m");
        over *= length("lever_mm") + length("extension_mm");
        under *= length("lever_mm");
    }
    over > limit * under
}

struct Record<'a> {
    lines: &'a [Value],
    /// As it stands at the end.
    board: &'a Value,
    /// Corrected line, the terminal if it was for one only, what it should have said; in order.
    slips: Vec<(u64, Option<&'a str>, &'a Value)>,
}

impl<'a> Record<'a> {
    fn fact(&self, line: &'a Value, terminal: Option<&str>) -> &'a Value {
        let seq = line["seq"].as_u64().unwrap();
        let of = |wanted: Option<&str>| {
            self.slips.iter().rev().find(|(s, t, _)| *s == seq && *t == wanted).map(|(_, _, fact)| *fact)
        };
        terminal.and_then(|name| of(Some(name))).or_else(|| of(None)).unwrap_or(&line["fact"])
    }

    fn opened(&self) -> &'a Value {
        &self.lines[0]["fact"]["opened"]
    }

    /// What the scope that holds says of a terminal.
    fn scoped(&self, name: &str) -> Option<&'a Value> {
        let mut facts = self.lines.iter().rev().map(|line| split(self.fact(line, None)));
        let scope = facts.find(|(kind, _)| *kind == "scope")?.1;
        scope["terminals"].as_array()?.iter().find(|entry| entry["terminal"] == name)
    }

    /// The tool as it was stated, slips put right.
    fn tool(&self, id: &str) -> &'a Value {
        let tools = self.lines.iter().map(|line| split(self.fact(line, None)));
        tools.filter(|(kind, _)| *kind == "tool").map(|(_, t)| t).find(|t| text(&t["id"]) == id).unwrap()
    }

    /// The verdict on a torque, worked out here from its tool with slips put right; where there was none, it is the one
    /// that was recorded.
    fn verdict(&self, body: &'a Value) -> &'a str {
        if body["applied"].is_null() {
            return text(&body["verdict"]);
        }
        let id = text(&body["tool"]);
        let limit =
            |which: &str| body["limits"][which].as_str().map(|l| torque(l, text(&body["limits"]["unit"])));
        let applied = quantity(&body["applied"]);
        let within = limit("lower").is_none_or(|lower| applied >= lower)
            && limit("upper").is_none_or(|upper| applied <= upper);
        let rule = &self.lines[0]["fact"]["opened"]["decision_rule"];
        let verdict = naive_verdict::verdict(rule, self.tool(id), body, within);
        let corrected = |line: &Value| {
            let (kind, body) = split(&line["fact"]);
            kind == "corrected" && split(&body["fact"]).0 == "tool" && split(&body["fact"]).1["id"] == id
        };
        let put_right = self.lines.iter().any(corrected);
        assert!(put_right || verdict == body["verdict"], "{verdict}: {body}");
        verdict
    }

    /// Whether a tool is doubted at the end.
    fn doubted(&self, id: &str) -> bool {
        let facts = self.lines.iter().map(|line| split(self.fact(line, None)));
        let mut of = facts.rev().filter(|(kind, f)| kind.starts_with("tool_") && f["tool"] == id);
        of.next().is_some_and(|(kind, _)| kind == "tool_doubted")
    }

    /// Whether the calibration of a valid tool had ended at a line: more than 12 months or 5000 operations.
    fn ended(&self, id: &str, seq: u64) -> bool {
        let tool = self.tool(id);
        if tool["validity"] != "valid" || tool["calibrations"].is_null() {
            return false;
        }
        let calibrated = text(&tool["calibrations"].as_array().unwrap().last().unwrap()["date"]);
        let year: u32 = calibrated[..4].parse().unwrap();
        let day = &text(&self.lines[usize::try_from(seq).unwrap() - 1]["time"])[..10];
        let mut done = tool["operations_before"].as_u64().unwrap_or(0)
            + tool["operations_recorded"].as_u64().unwrap_or(0);
        for line in self.lines.iter().filter(|line| line["seq"].as_u64().unwrap() <= seq) {
            let (kind, f) = split(&line["fact"]);
            let turned = kind == "torqued" && f["serial"] == tool["serial"];
            if turned && (f["result"] == "clicked" || !f["result"]["reading"].is_null()) {
                done += u64::try_from(names(&f["terminals"]).len()).unwrap();
            }
        }
        done > 5000 || *day > *format!("{}{}", year + 1, &calibrated[4..])
    }

    /// The boards in the order in which they held.
    fn boards(&self) -> impl Iterator<Item = &'a Value> + use<'a> {
        let facts = self.lines.iter().map(|line| split(&line["fact"]));
        facts.filter(|(kind, _)| ["opened", "board_amended"].contains(kind)).map(|(_, f)| &f["board"])
    }

    /// The scale that began the span of a torque.
    fn start(&self, torqued: &Value) -> Option<&'a Value> {
        let id = torqued["span"].as_str()?;
        let facts = self.lines.iter().map(|line| split(self.fact(line, None)));
        facts
            .filter(|(kind, f)| *kind == "scale" && (f["at"] == "start" || f["at"] == "after_work"))
            .map(|(_, f)| f)
            .find(|f| f["span"] == id)
    }

    /// Where a scale stood against what was required: -1 low, 0 within half a graduation, 1 high.
    fn stands(&self, scale: &Value) -> i32 {
        let tool = self.tool(text(&scale["tool"]));
        let (read, required) = (quantity(&scale["read"]), quantity(&scale["required"]));
        let off: BigInt = &read - &required;
        let step = match tool["graduation"].as_str() {
            Some(step) => torque(step, text(&tool["unit"])),
            None => BigInt::from(0),
        };
        if &off * 2 > step {
            1
        } else if &off * -2 > step {
            -1
        } else {
            0
        }
    }
}

/// Stages, in order. The first three are those of a coming back.
const LOOK: u8 = 0;
const CHECK_TUG: u8 = 1;
const CHECK: u8 = 2;
const MAKE: u8 = 3;
const TORQUE: u8 = 4;
const TUG: u8 = 5;
const MARK: u8 = 6;

/// An answer that stands.
#[derive(Clone)]
struct Answer<'a> {
    /// Its step.
    what: String,
    stage: u8,
    good: bool,
    /// The scale stood above the setting, but not above the limit.
    high: bool,
    seq: u64,
    body: &'a Value,
}

/// A terminal as the lines go by.
#[expect(clippy::struct_excessive_bools, reason = "each is one yes or no of the tables")]
struct Terminal<'a> {
    record: &'a Record<'a>,
    name: &'a str,
    /// Line that is read.
    seq: u64,
    /// `look`, `check_tug 0`, `check 1`, `prepare 0`, `enter 0`, `torque 1 1`, `tug 0`, `mark`; with its stage.
    steps: Vec<(String, u8)>,
    /// Those of making off.
    made: Vec<(String, u8)>,
    /// Part of a revisit, and not in its scope.
    outside: bool,
    /// In scope as it was found, not made off afresh.
    came_back: bool,
    /// A wait of own practice follows where a screw moved at a revisit.
    waits: bool,
    /// Heat at the meter or cut-out.
    distributor: bool,
    /// The last look was not seen, or showed a mark offset or a sleeve shifted.
    seen_remark: bool,
    /// At an audit.
    audited: bool,
    no_access_aside: bool,
    last_look: Option<&'a Value>,
    conductors: Vec<String>,
    forbidden: bool,
    attempt: u64,
    stands: Vec<Answer<'a>>,
    struck: usize,
    /// Its clamp has a settle rule.
    settles: bool,
    round: u64,
    /// The screw moved in this round.
    moved: bool,
    waived: bool,
    /// Answers of the rounds before; they count.
    before: Vec<Answer<'a>>,
    /// Boards that held before the one now.
    board_at: usize,
    /// A tug shifted in this attempt already.
    shifted: bool,
    /// Only a remake helps.
    ruined: bool,
    /// Over the limit: the strands are still to be looked at.
    over: bool,
    /// Over the limit, sound and kept.
    kept: bool,
    /// Spins: to be looked at. Stripped: to be replaced. Cannot be reached.
    look: bool,
    stripped: bool,
    no_access: bool,
    aside: bool,
    remarks: usize,
}

#[expect(clippy::too_many_lines, reason = "one table of the rules; split, it could not be read as one")]
impl<'a> Terminal<'a> {
    fn new(record: &'a Record<'a>, json: &'a Value) -> Self {
        let clamps = record.board["clamps"].as_array().unwrap();
        let clamp = clamps.iter().find(|clamp| clamp["name"] == json["clamp"]).unwrap();
        let name = text(&json["name"]);
        let count = json["conductors"].as_array().map_or(0, Vec::len);
        let forbidden = clamp["second_torque_forbidden"] == true;
        let mut steps: Vec<(String, u8)> = Vec::new();
        let mut step = |what: String, stage| steps.push((what, stage));
        let (finger, spring) = (clamp["kind"] == "finger", clamp["kind"] == "spring");
        for nth in 0..count {
            step(format!("prepare {nth}"), MAKE);
            step(format!("enter {nth}"), MAKE);
        }
        if finger {
            step("enter 0".into(), MAKE);
        }
        if (finger || count > 0) && !spring {
            step("torque 1 1".into(), TORQUE);
            if clamp["screws"] == 2 {
                step("torque 2 1".into(), TORQUE);
                if !forbidden {
                    step("torque 1 2".into(), TORQUE);
                }
            }
        }
        for nth in 0..count {
            step(format!("tug {nth}"), TUG);
        }
        if (finger || count > 0) && !spring {
            step("mark".into(), MARK);
        }
        let made = steps.clone();
        let (mut outside, mut came_back, mut attempt) = (false, false, 1);
        if record.opened()["visit"] == "revisit" {
            let entry = record.scoped(name);
            outside = entry.is_none();
            attempt = entry.map_or(1, |entry| entry["attempt"].as_u64().unwrap());
            let afresh = entry.is_some_and(|entry| {
                entry["how"] == "re_terminated" || ["new", "changed"].contains(&text(&entry["why"]))
            });
            came_back = !outside && !afresh;
        }
        if outside {
            steps.clear();
        } else if came_back {
            steps.clear();
            if finger || count > 0 {
                steps.push(("look".into(), LOOK));
                steps.extend((0..count).map(|nth| (format!("check_tug {nth}"), CHECK_TUG)));
                if !spring && !forbidden {
                    let screws = if clamp["screws"] == 2 { 2 } else { 1 };
                    steps.extend((1..=screws).map(|screw| (format!("check {screw}"), CHECK)));
                }
            }
        }
        let audit = Audit::of(record.lines);
        if let Some(audit) = &audit {
            let of = |step: &str| {
                if step == "look" {
                    LOOK
                } else if step.starts_with("check_tug") {
                    CHECK_TUG
                } else {
                    CHECK
                }
            };
            steps = audit.steps(json, clamp).into_iter().map(|step| (step.clone(), of(&step))).collect();
            outside = steps.is_empty();
        }
        let audited = audit.is_some();
        // nothing is tightened at an audit, so nothing is forbidden, waited for or made again
        let forbidden = forbidden && !audited;
        let conductors = match count {
            0 | 1 => vec![name.to_owned()],
            more => (1..=more).map(|n| format!("{name}/{n}")).collect(),
        };
        Self {
            record,
            name,
            seq: 0,
            steps,
            made,
            outside,
            came_back,
            waits: false,
            distributor: false,
            seen_remark: false,
            no_access_aside: false,
            last_look: None,
            conductors,
            forbidden,
            attempt,
            stands: Vec::new(),
            struck: 0,
            settles: false,
            audited,
            round: 0,
            moved: false,
            waived: false,
            before: Vec::new(),
            board_at: 0,
            shifted: false,
            ruined: false,
            over: false,
            kept: false,
            look: false,
            stripped: false,
            no_access: false,
            aside: false,
            remarks: 0,
        }
    }

    /// The waits of the clamp as a board has it; they hold until another board does.
    fn waits_by(&mut self, board: &Value) {
        let terminal = board["terminals"].as_array().unwrap().iter().find(|t| text(&t["name"]) == self.name);
        let Some(terminal) = terminal else { return };
        let clamps = board["clamps"].as_array().unwrap();
        let clamp = clamps.iter().find(|clamp| clamp["name"] == terminal["clamp"]).unwrap();
        let once = clamp["second_torque_forbidden"] == true || self.audited;
        self.waits = self.record.opened()["visit"] == "revisit" && clamp["kind"] != "spring" && !once;
        self.settles = !clamp["settle"].is_null() && !once;
    }

    fn strike(&mut self, gone: impl Fn(&Answer<'_>) -> bool) {
        let before = self.stands.len();
        self.stands.retain(|answer| !gone(answer));
        self.struck += before - self.stands.len();
    }

    /// Other steps from here on; what is no longer a step is struck out.
    fn steps_now(&mut self, steps: Vec<(String, u8)>) {
        self.strike(|a| !steps.iter().any(|(what, _)| *what == a.what));
        self.steps = steps;
    }

    fn stage_at_least(&self, stage: u8) -> Vec<(String, u8)> {
        self.made.iter().filter(|(_, s)| *s >= stage).cloned().collect()
    }

    fn checking(&self) -> bool {
        self.steps.iter().any(|(_, stage)| [CHECK_TUG, CHECK].contains(stage))
    }

    fn place(&self, what: &str) -> usize {
        self.steps.iter().position(|(name, _)| name == what).unwrap()
    }

    /// Whether a step may be answered now: every step before it is good, nothing else comes first.
    fn may(&self, step: usize) -> bool {
        let good = |at: usize| self.stands.iter().any(|a| a.what == self.steps[at].0 && a.good);
        let (what, stage) = &self.steps[step];
        let before = (0..step).filter(|at| {
            let (_, earlier) = self.steps[*at];
            let prepared =
                what.starts_with("enter") && *at + 1 == step && self.steps[*at].0.starts_with("prepare");
            let screws = [TORQUE, CHECK].contains(stage) && earlier == *stage;
            earlier < *stage || screws || prepared
        });
        let ready = { before }.all(good);
        ready && !self.blocked()
    }

    /// Something comes before every step.
    fn blocked(&self) -> bool {
        self.over || self.ruined || self.look || self.stripped || self.no_access || self.distributor
    }

    /// Takes an answer in its place; says whether it stands.
    fn answer(&mut self, what: &str, good: bool, body: &'a Value) -> bool {
        // a step of a clamp that is no longer there
        let Some(step) = self.steps.iter().position(|(name, _)| name == what) else { return false };
        if !self.may(step) {
            self.struck += 1;
            return false;
        }
        let stage = self.steps[step].1;
        let places: Vec<usize> = self.stands.iter().map(|a| self.place(&a.what)).collect();
        let mut at = 0;
        let before = self.stands.len();
        self.stands.retain(|a| {
            let place = places[at];
            at += 1;
            let later_screw = a.stage == stage && [TORQUE, CHECK].contains(&stage) && place > step;
            !(a.what == what || a.stage > stage || later_screw)
        });
        self.struck += before - self.stands.len();
        self.stands.push(Answer { what: what.to_owned(), stage, good, high: false, seq: self.seq, body });
        true
    }

    /// Places of this terminal's conductors that a fact names.
    fn mine(&self, body: &Value) -> Vec<usize> {
        let named = names(&body["for"]);
        (0..self.conductors.len()).filter(|n| named.contains(&self.conductors[*n].as_str())).collect()
    }

    fn named(&self, body: &Value) -> bool {
        names(&body["terminals"]).contains(&self.name)
    }

    fn read(&mut self, kind: &str, body: &'a Value) {
        match kind {
            "opened" => self.waits_by(&body["board"]),
            "prepared" => {
                for nth in self.mine(body) {
                    self.answer(&format!("prepare {nth}"), true, body);
                }
            }
            "entered" => {
                for nth in self.mine(body) {
                    self.answer(&format!("enter {nth}"), body["right"] == true, body);
                }
            }
            "looked" if self.named(body) => self.looked(body),
            "movement" if text(&body["terminal"]) == self.name => {
                let screw = body["screw"].as_u64().unwrap_or(1);
                let good = self.audited || body["found"] == "held";
                let stood = self.answer(&format!("check {screw}"), good, body);
                self.ruined |= stood && self.audited && body["found"] == "loose";
            }
            "torqued" if self.named(body) => self.torqued(body),
            "tugged" => self.tugged(body),
            // what is said of another round than the one it stands in says nothing
            "marked" if self.named(body) && body["round"] == self.round => {
                self.answer("mark", true, body);
            }
            "settle_ready" if text(&body["terminal"]) == self.name && self.settling() => {
                self.round += 1;
                self.moved = false;
                let from = if self.checking() { CHECK_TUG } else { TORQUE };
                let (again, kept) = self.stands.drain(..).partition(|a| a.stage >= from);
                self.stands = kept;
                self.before.extend::<Vec<Answer<'_>>>(again);
                if from == CHECK_TUG {
                    self.steps = vec![("look".into(), LOOK)];
                    self.steps.extend(self.stage_at_least(TORQUE));
                }
            }
            "settle_waived" if text(&body["terminal"]) == self.name => {
                let shifted = self.stands.iter().any(|a| a.body["result"] == "shifted");
                self.waived |= self.settling() && !shifted;
            }
            "scale" if body["at"] == "end" => self.scale(body),
            "decided" if text(&body["terminal"]) == self.name => self.decided(body),
            "disturbed" if self.named(body) => {
                let out = body["how"] == "re_terminated";
                let tight = self.stands.iter().any(|a| Self::tight(a));
                self.ruined |= self.forbidden && tight;
                self.end_rounds();
                let checking = self.checking();
                self.strike(|a| checking || a.stage >= TORQUE || (out && a.what.starts_with("enter")));
                if out && checking {
                    let all = self.made.iter().filter(|(what, _)| !what.starts_with("prepare"));
                    self.steps = all.cloned().collect();
                }
            }
            "remade" if text(&body["terminal"]) == self.name => {
                let cut: Vec<String> = self.mine(body).iter().map(|n| format!("prepare {n}")).collect();
                let kept = |what: &str| what.starts_with("prepare") && !cut.iter().any(|c| c == what);
                // the preparation of the others stands in the earlier record
                let asked: Vec<String> = self.steps.iter().map(|(what, _)| what.clone()).collect();
                self.begin(kept, |what| !kept(what) || asked.iter().any(|a| a == what));
            }
            "replaced" if self.named(body) => {
                self.begin(|_| false, |_| true);
            }
            "set_aside" if self.named(body) => {
                self.aside = true;
                self.no_access_aside = body["why"] == "no_access";
            }
            "taken_up" if self.named(body) => {
                (self.aside, self.no_access, self.distributor) = (false, false, false);
                self.no_access_aside = false;
            }
            "board_amended" => self.amended(body),
            "remark" if body["on"]["terminal"] == self.name => self.remarks += 1,
            "last_look" => {
                let tails = body["tails"].as_array().cloned().unwrap_or_default();
                let mine = tails.iter().find(|tail| tail["terminal"] == self.name);
                let tug = mine.map_or("", |tail| text(&tail["tug"]));
                self.ruined |= ["came_out", "strands_broke"].contains(&tug);
            }
            _ => {}
        }
    }

    /// A new attempt; what is carried over goes on standing.
    fn begin(&mut self, carried: impl Fn(&str) -> bool, asked: impl Fn(&str) -> bool) {
        self.attempt += 1;
        self.end_rounds();
        self.strike(|a| !carried(&a.what));
        if self.came_back {
            (self.distributor, self.seen_remark) = (false, false);
            let steps = self.made.iter().filter(|(what, _)| asked(what)).cloned().collect();
            self.steps_now(steps);
        }
        (self.shifted, self.ruined, self.over, self.kept) = (false, false, false, false);
        (self.look, self.stripped, self.no_access) = (false, false, false);
    }

    /// Every step is good, nothing else is needed, and a wait is still to come: before the first round, and once
    /// more where the screw moved.
    fn settling(&self) -> bool {
        let unknown = self.stands.iter().any(|a| a.body["limits"]["basis"] == "none");
        let to_come = if self.checking() {
            let moved = |a: &Answer<'_>| a.stage == CHECK && a.good && a.body["turned"] == "moved";
            self.waits && self.stands.iter().any(moved)
        } else if self.round == 0 {
            self.settles
        } else {
            (self.settles || self.waits) && self.moved && self.round < 2
        };
        let ready = self.answered() && !unknown && !self.blocked() && !self.steps.is_empty();
        ready && !self.waived && to_come
    }

    fn answered(&self) -> bool {
        self.steps.iter().all(|(what, _)| self.stands.iter().any(|a| a.what == *what && a.good))
    }

    /// A look at a coming back. Heat has the consequence of the place where it is; the gravest counts.
    fn looked(&mut self, body: &'a Value) {
        let result = &body["result"];
        self.last_look = Some(result);
        let found: Vec<String> = result["found"]
            .as_array()
            .map(|list| {
                list.iter().map(|mark| mark["heat"].as_str().unwrap_or(text(mark)).to_owned()).collect()
            })
            .unwrap_or_default();
        let has = |what: &str| found.iter().any(|mark| mark == what);
        let in_the_way = result == "not_accessible" || has("meter_or_cut_out");
        if !self.answer("look", !in_the_way, body) {
            return;
        }
        self.seen_remark = result == "not_seen" || has("mark_offset") || has("sleeve_shifted");
        if result == "not_accessible" {
            self.no_access = true;
        } else if has("meter_or_cut_out") {
            self.distributor = true;
        } else if has("clamp_or_device") {
            self.stripped = true;
        } else if has("insulation") || has("strands_damaged") {
            self.ruined = true;
        }
    }

    /// The rounds before no longer count; the next torque is the first again.
    fn end_rounds(&mut self) {
        self.struck += self.before.len();
        self.before.clear();
        (self.round, self.moved, self.waived) = (0, false, false);
    }

    /// Equal in clamp, limits and conductors: answers are kept. Another value alone: torque and what follows are
    /// open again. Else it begins again. Gone and there once more: it is another terminal of that name.
    fn amended(&mut self, body: &Value) {
        let seen = |board: &'a Value| board["terminals"].as_array().unwrap().iter();
        let boards: Vec<&'a Value> = self.record.boards().collect();
        self.board_at += 1;
        let at = self.board_at;
        assert_eq!(*boards[at], body["board"]);
        self.waits_by(&body["board"]);
        let find = |board: &'a Value| seen(board).find(|terminal| text(&terminal["name"]) == self.name);
        let (older, newer) = (boards[at - 1], boards[at]);
        let reopened = names(&body["reopened"]).contains(&self.name);
        let (Some(was), Some(is)) = (find(older), find(newer)) else {
            let back = find(newer).is_some() && boards[..at].iter().any(|board| find(board).is_some());
            assert_eq!(reopened, back, "{}", self.name);
            if back {
                self.end_rounds();
                self.strike(|_| true);
                (self.shifted, self.ruined, self.over, self.kept) = (false, false, false, false);
                (self.look, self.stripped, self.no_access) = (false, false, false);
                (self.aside, self.remarks, self.distributor) = (false, 0, false);
            }
            return;
        };
        let clamp = |board: &'a Value, terminal: &Value| {
            board["clamps"]
                .as_array()
                .unwrap()
                .iter()
                .find(|clamp| clamp["name"] == terminal["clamp"])
                .unwrap()
        };
        let (one, other) = (clamp(older, was), clamp(newer, is));
        let rule = ["kind", "screws", "second_torque_forbidden", "settle"];
        let same_clamp = rule.iter().all(|key| one[*key] == other[*key]);
        let make_up = |terminal: &Value| -> Vec<Value> {
            let list = terminal["conductors"].as_array().cloned().unwrap_or_default();
            let keys = ["csa_mm2", "class", "wires", "metal"];
            list.iter().flat_map(|c| keys.iter().map(|key| c[*key].clone()).collect::<Vec<_>>()).collect()
        };
        let same_there = ["device", "spare"].iter().all(|key| was[*key] == is[*key]);
        let same = same_clamp && same_there && make_up(was) == make_up(is);
        let torque = |clamp: &Value| -> Vec<Value> {
            let rows = clamp["torque"].as_array().cloned().unwrap_or_default();
            assert!(rows.len() <= 1, "the reader knows one row a clamp");
            rows.iter().map(|row| row["stated"].clone()).collect()
        };
        let same_torque = torque(one) == torque(other);
        assert_eq!(reopened, !(same && same_torque), "{}", self.name);
        if !same {
            self.end_rounds();
            self.strike(|_| true);
            (self.ruined, self.over, self.look, self.stripped) = (false, false, false, false);
            (self.no_access, self.distributor) = (false, false);
        } else if !same_torque {
            let tight = self.before.len() + self.stands.iter().filter(|a| Self::tight(a)).count();
            self.ruined |= self.forbidden && tight > 0;
            self.end_rounds();
            self.strike(|a| a.stage >= TORQUE || a.stage == CHECK);
        }
    }

    fn tight(answer: &Answer<'_>) -> bool {
        answer.good && [TORQUE, CHECK].contains(&answer.stage)
    }

    fn torqued(&mut self, body: &'a Value) {
        let (screw, pass) = (body["screw"].as_u64().unwrap_or(1), body["pass"].as_u64().unwrap_or(1));
        let result = &body["result"];
        let limits = &body["limits"];
        let limit = |which: &str| limits[which].as_str().map(|l| torque(l, text(&limits["unit"])));
        let why = text(&result["not_clicked"]["why"]);
        let (mut good, mut over) = (why.is_empty(), false);
        if !body["applied"].is_null() {
            let applied = quantity(&body["applied"]);
            let fails = ["fail", "conditional_fail"].contains(&self.record.verdict(body));
            let outside = limit("upper").is_some_and(|upper| applied > upper)
                || limit("lower").is_some_and(|lower| applied < lower);
            // a guard band with two words fails inside the limits too
            let guarded = self.record.lines[0]["fact"]["opened"]["decision_rule"] == "guarded_two_words";
            assert!(fails == outside || (fails && guarded), "{body}");
            over = fails
                && match (limit("lower"), limit("upper")) {
                    (Some(lower), Some(upper)) => &applied - lower >= upper - &applied,
                    (lower, _) => lower.is_none(),
                };
            good = over || !fails;
        }
        // a start put right as a slip later: it stood wrong when this was tightened
        let start = self.record.start(body).map_or(0, |scale| self.record.stands(scale));
        if good && start < 0 {
            self.struck += 1;
            self.ruined |= self.forbidden;
            return;
        }
        if body["round"] != self.round {
            self.struck += 1;
            return;
        }
        let check = format!("check {screw}");
        let tried = self.steps.iter().any(|(what, _)| *what == check);
        let step = if tried { check } else { format!("torque {screw} {pass}") };
        if !self.answer(&step, good, body) {
            return;
        }
        if tried && good && body["turned"] == "moved" && !self.steps.iter().any(|(what, _)| what == "mark") {
            self.steps.push(("mark".into(), MARK));
        }
        if good && self.round > 0 && body["turned"] == "moved" {
            self.moved = true;
            self.ruined |= self.round == 2;
        }
        self.over |= over;
        self.ruined |= self.forbidden && !good && *result == "clicked";
        self.look |= why == "spins";
        self.stripped |= why == "stripped";
        self.no_access |= why == "no_access";
        if good && start > 0 {
            let scale = self.record.start(body).unwrap();
            self.too_high(scale);
        }
    }

    fn tugged(&mut self, body: &'a Value) {
        let mut stood = Vec::new();
        // after the first settling a shift counts as moved, and the tug as answered
        let moved_once = body["result"] == "shifted" && self.round == 1;
        for nth in self.mine(body) {
            let check = format!("check_tug {nth}");
            let found = self.steps.iter().any(|(what, _)| *what == check);
            let step = if found { check } else { format!("tug {nth}") };
            if body["round"] != self.round {
                self.struck += 1;
            } else if self.answer(&step, body["result"] == "firm" || moved_once, body) {
                stood.push(format!("enter {nth}"));
            }
        }
        if stood.is_empty() || body["result"] == "firm" {
            return;
        }
        if moved_once {
            self.moved = true;
            return;
        }
        if self.audited {
            self.ruined = true;
            return;
        }
        if body["result"] != "shifted" || self.shifted || self.forbidden || self.round > 0 {
            self.ruined = true;
            return;
        }
        self.shifted = true;
        if self.checking() {
            let mut steps = vec![("look".to_owned(), LOOK)];
            steps.extend(self.made.iter().filter(|(what, s)| *s >= TORQUE || stood.contains(what)).cloned());
            self.steps_now(steps);
            return;
        }
        self.strike(|a| a.stage >= TORQUE || stood.contains(&a.what));
    }

    /// A scale read at the end of a span. A screw that did not click was not tightened: what was found there
    /// does not hang on the scale.
    fn scale(&mut self, scale: &Value) {
        if !scale["reset"].is_null() {
            return;
        }
        let stands = self.record.stands(scale);
        let tight = |a: &Answer<'_>| a.good && !scale["span"].is_null() && a.body["span"] == scale["span"];
        let earlier = self.before.iter().any(tight);
        if stands < 0 && earlier {
            self.end_rounds();
            self.strike(|a| a.stage >= TORQUE);
        } else if stands < 0
            && let Some(first) = self.stands.iter().filter(|a| tight(a)).map(|a| self.place(&a.what)).min()
        {
            let later: Vec<String> = self.steps[first..].iter().map(|(what, _)| what.clone()).collect();
            self.strike(|a| later.contains(&a.what));
            self.ruined |= self.forbidden;
        }
        if stands > 0 {
            self.too_high(scale);
        }
    }

    fn too_high(&mut self, scale: &Value) {
        let tool = self.record.tool(text(&scale["tool"]));
        let read = quantity(&scale["read"]);
        let all = self.stands.iter_mut().chain(&mut self.before);
        for answer in all.filter(|a| a.good && a.body["span"] == scale["span"]) {
            let limits = &answer.body["limits"];
            let upper = limits["upper"].as_str().map(|l| torque(l, text(&limits["unit"])));
            if upper.is_none_or(|upper| applies_more(tool, &read, &upper)) {
                self.over = true;
            } else {
                answer.high = true;
            }
        }
    }

    fn decided(&mut self, body: &Value) {
        let (about, choice) = (text(&body["about"]), text(&body["choice"]));
        if about == "over_tightened" && self.over {
            if body["strands"] == "cut" || choice == "remake" {
                self.ruined = true;
            } else if choice == "keep" {
                (self.over, self.kept) = (false, true);
            }
        }
        if about == "not_clicked" && self.look {
            self.look = choice != "again";
            self.ruined |= choice == "remake";
            self.stripped |= choice == "replace";
        }
    }

    /// How the span of a torque ended: nothing where it is still open.
    fn span_remark(&self, torqued: &Value) -> Option<bool> {
        let Some(id) = torqued["span"].as_str() else { return Some(false) };
        let fixed = self.record.tool(text(&torqued["tool"]))["kind"] == "fixed";
        let mut ended = fixed.then_some(false);
        for line in self.record.lines {
            let (kind, body) = split(self.record.fact(line, None));
            if text(&body["span"]) != id {
                continue;
            }
            match kind {
                "scale_unread" => ended = Some(true),
                // low was struck out, high is looked at apart: what was turned on purpose is left, and what was typed twice
                // alike before it was called a slip
                "scale" if body["at"] == "end" => {
                    let typed = self.record.stands(&line["fact"]["scale"]) != 0;
                    let put_right = typed && self.record.stands(body) == 0;
                    ended = Some(put_right || !body["reset"].is_null());
                }
                "scale" if body["at"] == "after_work" => ended = Some(true),
                _ => {}
            }
        }
        ended
    }

    fn outcome(&self) -> &'static str {
        if self.outside {
            return "not_in_scope";
        }
        if self.aside {
            return "set_aside";
        }
        let answered = self.answered();
        let unknown = self.stands.iter().any(|a| a.body["limits"]["basis"] == "none");
        let moved = self.stands.iter().any(|a| a.stage == CHECK && a.body["turned"] == "moved");
        let tried = unknown && self.checking() && !moved;
        if self.steps.is_empty() || !answered || self.blocked() || (unknown && !tried) {
            return "open";
        }
        if self.settling() {
            return "settling";
        }
        let mut remark = self.remarks > 0 || self.kept || self.waived || self.seen_remark;
        let all = self.before.iter().chain(&self.stands);
        for answer in all.filter(|a| [TORQUE, CHECK].contains(&a.stage)) {
            let Some(of_span) = self.span_remark(answer.body) else { return "open" };
            let untrue =
                answer.body["tool"].as_str().is_none_or(|id| self.record.tool(id)["validity"] != "valid");
            let doubted = answer.body["tool"].as_str().is_some_and(|id| self.record.doubted(id));
            remark |= doubted;
            remark |= answer.body["tool"].as_str().is_some_and(|id| self.record.ended(id, answer.seq));
            let conditional = self.record.verdict(answer.body) == "conditional_pass";
            remark |= of_span || untrue || conditional || answer.high;
        }
        if remark { "complete_with_remark" } else { "complete" }
    }

    /// At an audit, what was found in a word, and whether it is bad.
    fn found(&self) -> Option<(&'static str, bool)> {
        let of = |stage: u8| self.stands.iter().filter(move |a| a.stage == stage);
        let found = Found {
            look: self.last_look,
            tugs: of(CHECK_TUG).map(|a| text(&a.body["result"])).collect(),
            moves: of(CHECK).map(|a| &a.body["found"]).collect(),
        };
        let steps: Vec<String> = self.steps.iter().map(|(what, _)| what.clone()).collect();
        let no_access = self.aside && self.no_access_aside;
        self.audited.then(|| (found.word(&steps, no_access), found.is_bad()))
    }

    fn row(&self) -> Row {
        let mark = self.stands.iter().find(|a| a.what == "mark");
        Row {
            terminal: self.name.to_owned(),
            outcome: self.outcome(),
            attempt: self.attempt,
            struck: self.struck,
            mark: mark.map_or("-", |a| text(&a.body["result"])).to_owned(),
            by_hand: self.stands.iter().any(|a| a.body["result"] == "by_hand"),
            found: self.found(),
        }
    }
}

/// Reads a record, one JSON value a line.
pub(crate) fn read(lines: &[Value]) -> Reading {
    let Some(first) = lines.first() else { return Reading::default() };
    let mut slips = Vec::new();
    for line in lines {
        let (kind, body) = split(&line["fact"]);
        if kind == "corrected" {
            slips.push((body["seq"].as_u64().unwrap(), body["terminal"].as_str(), &body["fact"]));
        }
    }
    let mut record = Record { lines, board: &first["fact"]["opened"]["board"], slips };
    record.board = record.boards().last().unwrap();
    let mut reading = Reading::default();
    for json in record.board["terminals"].as_array().unwrap() {
        let mut terminal = Terminal::new(&record, json);
        for line in lines {
            let (kind, body) = split(record.fact(line, Some(terminal.name)));
            terminal.seq = line["seq"].as_u64().unwrap();
            terminal.read(kind, body);
        }
        reading.rows.push(terminal.row());
    }
    for line in lines {
        let (_, body) = split(&line["fact"]);
        if let Some(mode) = body["mode"].as_str() {
            let alone = usize::from(body["found"] != Value::Null && body["terminal"].is_string());
            let answers = names(&body["for"]).len() + names(&body["terminals"]).len() + alone;
            *reading.entered.entry(mode.to_owned()).or_default() += u64::try_from(answers).unwrap();
        }
    }
    reading
}
