//! Device types, bars, the incoming device and fittings of a board file.

use crate::domain::board::{Pole, Role};
use crate::domain::clamp::{Clamp, ClampKind};
use crate::domain::conductor::Conductor;
use crate::domain::names::ClampName;
use crate::written::fields::{self, Fields, Named, count, name, word, yes_no};
use crate::written::node::{Node, Shape};
use crate::written::problem::{Findings, quoted};
use std::ops::Range;

/// Most conductors that can be stated in one clamp. Our limit; no clamp takes more than four.
const CONDUCTORS_MAX: usize = 8;

/// What terminals are made of: clamps and conductors by name.
pub(super) struct Stock {
    /// Clamp types.
    pub(super) clamps: Named<Clamp>,
    /// Conductors.
    pub(super) conductors: Named<Conductor>,
}

impl Stock {
    /// The clamp that a text names.
    pub(super) fn clamp(&self, node: Node<'_>, found: &mut Findings) -> Option<ClampName> {
        self.clamps.find(node, found).map(|(name, _)| ClampName(name))
    }

    /// The conductors that a text or a list of texts names; the word `None` names none.
    pub(super) fn conductors(&self, node: Node<'_>, found: &mut Findings) -> Option<Vec<Conductor>> {
        let one = |node: Node<'_>, found: &mut Findings| {
            self.conductors.find(node, found).map(|(_, it)| it.clone())
        };
        match node.shape() {
            Shape::Word("None") => Some(Vec::new()),
            Shape::List(items) if items.len() > CONDUCTORS_MAX => {
                let reason = format!(
                    "{} conductors in one clamp; at most {CONDUCTORS_MAX} can be stated",
                    items.len()
                );
                found.wrong(node.head(), reason, "give each conductor a clamp of its own");
                None
            }
            Shape::List(items) => {
                let read: Vec<_> = items.iter().map(|item| one(*item, found)).collect();
                read.into_iter().collect()
            }
            _ => one(node, found).map(|conductor| vec![conductor]),
        }
    }
}

const TYPE_KEYS: [&str; 7] = ["maker", "type", "poles", "finger", "load", "neutral", "lead"];
const BAR_KEYS: [&str; 3] = ["role", "clamp", "terminals"];
const FIXTURE_KEYS: [&str; 3] = ["maker", "type", "terminals"];
const TERMINAL_KEYS: [&str; 6] = ["clamp", "conductors", "pole", "role", "tail", "circuit"];
const POLES: [(&str, Pole); 4] = [("L1", Pole::L1), ("L2", Pole::L2), ("L3", Pole::L3), ("N", Pole::N)];
const ROLES: [(&str, Role); 5] = [
    ("Line", Role::Line),
    ("Neutral", Role::Neutral),
    ("Earth", Role::Earth),
    ("Feed", Role::Feed),
    ("Other", Role::Other),
];
const BAR_ROLES: [(&str, Role); 2] = [("Neutral", Role::Neutral), ("Earth", Role::Earth)];

/// A type of device, named once.
#[derive(Clone, Debug)]
pub(super) struct DeviceType {
    /// Maker as printed on it.
    pub(super) maker: String,
    /// Type as printed on it.
    pub(super) printed_type: String,
    /// Line poles, 1 or 3.
    pub(super) poles: u16,
    /// Clamp of the busbar finger under each pole.
    pub(super) finger: Option<ClampName>,
    /// Clamp of each outgoing line.
    pub(super) load: ClampName,
    /// Clamp of its own outgoing neutral, with its fly lead: a residual-current device.
    pub(super) neutral: Option<(ClampName, Vec<Conductor>)>,
}

/// Reads all device types.
pub(super) fn types(node: Option<Node<'_>>, stock: &Stock, found: &mut Findings) -> Named<DeviceType> {
    let mut named = Named::new("device");
    for (name, _, value) in node.and_then(|node| fields::map(node, "device", found)).unwrap_or_default() {
        named.add(name, device_type(value, stock, found));
    }
    named
}

fn device_type(node: Node<'_>, stock: &Stock, found: &mut Findings) -> Option<DeviceType> {
    let keys = Fields::open(node, "Device", &TYPE_KEYS, found)?;
    let (maker, printed_type) = printed(&keys, found);
    let poles = keys.need("poles", "1", found).and_then(|node| poles(node, found));
    let finger = keys.get("finger").map_or(Some(None), |node| finger(node, stock, found).map(Some));
    let load = keys.need("load", "\"name of a clamp\"", found).and_then(|node| stock.clamp(node, found));
    let neutral = keys.get("neutral").map(|node| stock.clamp(node, found));
    let fly_lead = keys.get("lead").map(|node| stock.conductors(node, found));
    let neutral = match (neutral, fly_lead) {
        (None, None) => Some(None),
        (Some(clamp), Some(fly_lead)) => clamp.zip(fly_lead).map(Some),
        (Some(_), None) => {
            let reason =
                "this device has its own neutral terminal, but its lead to the neutral bar is not stated";
            found.wrong(keys.key_span("neutral"), reason, "add lead: \"name of a conductor\"");
            None
        }
        (None, Some(_)) => {
            let reason = "this device has a lead to the neutral bar, but no neutral terminal of its own";
            found.wrong(keys.key_span("lead"), reason, "add neutral: \"name of a clamp\", or take lead out");
            None
        }
    };
    Some(DeviceType {
        maker: maker?,
        printed_type: printed_type?,
        poles: poles?,
        finger: finger?,
        load: load?,
        neutral: neutral?,
    })
}

fn poles(node: Node<'_>, found: &mut Findings) -> Option<u16> {
    let poles = count(node, "the number of poles", (1, 3), found)?;
    if poles == 2 {
        let reason = "the number of line poles is 2; a device here has 1 or 3";
        found.wrong(node.span(), reason, "write 1 or 3; enter anything else under fittings");
        return None;
    }
    Some(poles)
}

fn finger(node: Node<'_>, stock: &Stock, found: &mut Findings) -> Option<ClampName> {
    let (name, clamp) = stock.clamps.find(node, found)?;
    if clamp.kind != ClampKind::Finger {
        let reason = format!("the clamp {} is a {}, not a finger", quoted(&name), clamp.kind.words());
        found.wrong(node.span(), reason, "name a clamp of kind Finger, or leave finger out");
        return None;
    }
    Some(ClampName(name))
}

fn printed(keys: &Fields<'_>, found: &mut Findings) -> (Option<String>, Option<String>) {
    let mut text = |key, what| {
        let node = keys.need(key, "\"as printed on it\"", found)?;
        name(node, what, found)
    };
    (text("maker", "maker"), text("type", "type"))
}

/// A terminal that is stated by itself: on a bar, the incoming device or a fitting.
#[derive(Clone, Debug)]
pub(super) struct Single {
    /// Its name within its owner.
    pub(super) name: String,
    /// Where the name stands.
    pub(super) span: Range<usize>,
    /// Its clamp.
    pub(super) clamp: ClampName,
    /// What is in it.
    pub(super) conductors: Vec<Conductor>,
    /// Pole.
    pub(super) pole: Option<Pole>,
    /// What it is for.
    pub(super) role: Role,
    /// Whether an incoming tail is in it.
    pub(super) tail: bool,
    /// Circuit.
    pub(super) circuit: Option<String>,
    /// Whether its clamp takes conductors, so that none means spare.
    pub(super) takes_conductors: bool,
}

/// A neutral or earth bar.
#[derive(Clone, Debug)]
pub(super) struct Bar {
    /// Its name, which is its place.
    pub(super) name: String,
    /// Where the name stands.
    pub(super) span: Range<usize>,
    /// Neutral or earth.
    pub(super) role: Role,
    /// Clamp of its ordinary holes.
    pub(super) clamp: ClampName,
    /// Terminals of its own: main earth, bonds, links.
    pub(super) terminals: Vec<Single>,
}

/// Reads all bars, and whether every one of them could be read.
pub(super) fn bars(node: Option<Node<'_>>, stock: &Stock, found: &mut Findings) -> (Vec<Bar>, bool) {
    let mut bars = Vec::new();
    let before = found.problems.len();
    let named = node.and_then(|node| fields::map(node, "bar", found)).unwrap_or_default();
    let count = named.len();
    for (name, span, value) in named {
        let Some(keys) = Fields::open(value, "Bar", &BAR_KEYS, found) else { continue };
        let role = keys.need("role", "Neutral", found).and_then(|node| word(node, "role", &BAR_ROLES, found));
        let clamp =
            keys.need("clamp", "\"name of a clamp\"", found).and_then(|node| stock.clamp(node, found));
        let owner = Owner { clamp: Some(clamp.clone()), role };
        let terminals = keys.get("terminals").map(|node| singles(node, &owner, stock, found));
        if let (Some(role), Some(clamp)) = (role, clamp) {
            bars.push(Bar { name, span, role, clamp, terminals: terminals.unwrap_or_default() });
        }
    }
    let whole = bars.len() == count && found.problems.len() == before;
    (bars, whole)
}

/// The incoming device or a fitting.
#[derive(Clone, Debug)]
pub(super) struct Fixture {
    /// Its name, which is its place and its device.
    pub(super) name: String,
    /// Where the name stands.
    pub(super) span: Range<usize>,
    /// Maker as printed on it.
    pub(super) maker: String,
    /// Type as printed on it.
    pub(super) printed_type: String,
    /// Its terminals.
    pub(super) terminals: Vec<Single>,
}

/// Reads the incoming device or a fitting.
pub(super) fn fixture(
    name: &str,
    struct_name: &'static str,
    node: Node<'_>,
    stock: &Stock,
    found: &mut Findings,
) -> Option<Fixture> {
    let keys = Fields::open(node, struct_name, &FIXTURE_KEYS, found)?;
    let (maker, printed_type) = printed(&keys, found);
    let example = "{\"L1\": On(clamp: \"...\", conductors: \"...\", pole: L1)}";
    let node = keys.need("terminals", example, found);
    let terminals = node.map(|node| singles(node, &Owner::default(), stock, found));
    let span = keys.head.clone();
    // terminals that are there and could not be read are told, or hang on what is told, already
    if node.is_some_and(|node| matches!(node.shape(), Shape::Map(pairs) if pairs.is_empty())) {
        let help = "name its terminals, or leave it out";
        found.wrong(keys.key_span("terminals"), format!("this {struct_name} has no terminal"), help);
    }
    Some(Fixture {
        name: name.to_owned(),
        span,
        maker: maker?,
        printed_type: printed_type?,
        terminals: terminals?,
    })
}

/// Reads all fittings.
pub(super) fn fittings(node: Option<Node<'_>>, stock: &Stock, found: &mut Findings) -> Vec<Fixture> {
    let mut fittings = Vec::new();
    for (name, span, value) in node.and_then(|node| fields::map(node, "fitting", found)).unwrap_or_default() {
        let read = fixture(&name, "Fitting", value, stock, found);
        fittings.extend(read.map(|read| Fixture { span, ..read }));
    }
    fittings
}

/// What a terminal takes from its bar.
#[derive(Default)]
#[allow(clippy::option_option, reason = "no bar and a bar with a wrong clamp are two different things here")]
struct Owner {
    /// The bar's clamp; `Some(None)` where it could not be read.
    clamp: Option<Option<ClampName>>,
    /// The bar's role.
    role: Option<Role>,
}

fn singles(node: Node<'_>, owner: &Owner, stock: &Stock, found: &mut Findings) -> Vec<Single> {
    let mut all = Vec::new();
    for (name, span, value) in fields::map(node, "terminal", found).unwrap_or_default() {
        all.extend(single(name, span, value, owner, stock, found));
    }
    all
}

fn single(
    name: String,
    span: Range<usize>,
    node: Node<'_>,
    owner: &Owner,
    stock: &Stock,
    found: &mut Findings,
) -> Option<Single> {
    let keys = Fields::open(node, "On", &TERMINAL_KEYS, found)?;
    let clamp = match (keys.get("clamp"), &owner.clamp) {
        (None, Some(own)) => own.clone(),
        _ => keys.need("clamp", "\"name of a clamp\"", found).and_then(|node| stock.clamp(node, found)),
    };
    let pole = keys.get("pole").map_or(Some(None), |node| word(node, "pole", &POLES, found).map(Some));
    let role = keys.get("role").map_or(Some(None), |node| word(node, "role", &ROLES, found).map(Some));
    let tail = keys.get("tail").map_or(Some(false), |node| yes_no(node, "tail", found));
    let circuit =
        keys.get("circuit").map_or(Some(None), |node| fields::name(node, "circuit", found).map(Some));
    let conductors = keys.get("conductors").map(|node| stock.conductors(node, found));
    let clamp = clamp?;
    let takes = stock.clamps.get(clamp.as_str())?.kind.takes_conductors();
    let conductors = match (conductors, takes) {
        (Some(_), false) => {
            let reason = format!("the clamp {} is a finger and takes no conductor", quoted(clamp.as_str()));
            found.wrong(keys.key_span("conductors"), reason, "take conductors out, or name another clamp");
            None
        }
        (None, true) => {
            let example = "\"name of a conductor\", or conductors: None where nothing is in it";
            keys.need("conductors", example, found).and(None)
        }
        (None, false) => Some(Vec::new()),
        (Some(conductors), true) => conductors,
    };
    let (pole, conductors) = (pole?, conductors?);
    let by_pole = match pole {
        Some(Pole::N) => Role::Neutral,
        Some(Pole::L1 | Pole::L2 | Pole::L3) => Role::Line,
        None => owner.role.unwrap_or(Role::Other),
    };
    let role = role?.unwrap_or(if takes { by_pole } else { Role::Feed });
    let (tail, circuit) = (tail?, circuit?);
    Some(Single { name, span, clamp, conductors, pole, role, tail, circuit, takes_conductors: takes })
}
