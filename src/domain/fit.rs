//! Whether conductors go with the clamp they are put in.
//!
//! A misfit is never a refusal: a board may have been built by others, and who stands before it must still be able to
//! record it. What is looked at is what its maker states; nothing is guessed where nothing is stated. Deliberately
//! absent: whether a torque suits its thread (see [`super::plausible`]), and every edit of a board file.

use super::clamp::{Capacity, Clamp};
use super::conductor::{Class, Conductor, Metal, Preparation};
use rust_decimal::Decimal;

/// One way in which conductors do not go with their clamp.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// A cross-section that the clamp is not stated for in this class.
    OutsideCapacity {
        /// Nominal cross-section, mm².
        csa_mm2: Decimal,
        /// Its class.
        class: Class,
    },
    /// More conductors than the clamp takes.
    TooMany {
        /// How many there are.
        count: usize,
    },
    /// Conductors of different cross-section, class or metal under one screw, and no row of the maker's table speaks
    /// of that many conductors.
    Mixed {
        /// Each make of conductor once, in the order of the clamp.
        kinds: Vec<Kind>,
    },
    /// Class 5 or 6 under a screw without ferrule, pin or lug, and the clamp does not name what is planned.
    FineStranded {
        /// What it is.
        kind: Kind,
        /// What is planned, if that was said.
        planned: Option<Preparation>,
    },
    /// Aluminium in a clamp that is not stated for it.
    Aluminium {
        /// Nominal cross-section, mm².
        csa_mm2: Decimal,
    },
    /// A preparation is planned that is not among those the clamp names.
    NotNamed {
        /// What is planned.
        planned: Preparation,
    },
}

/// What makes two conductors different under one screw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kind {
    /// Nominal cross-section, mm².
    pub csa_mm2: Decimal,
    /// Class of IEC 60228.
    pub class: Class,
    /// Copper or aluminium.
    pub metal: Metal,
}

impl Kind {
    /// The kind of a conductor.
    #[must_use]
    pub fn of(conductor: &Conductor) -> Self {
        Self { csa_mm2: conductor.csa_mm2, class: conductor.class, metal: conductor.metal }
    }

    fn words(&self) -> String {
        let metal = if self.metal == Metal::Aluminium { ", aluminium" } else { "" };
        format!("{} mm2, class {}{metal}", self.csa_mm2, self.class.number())
    }
}

/// Whether a clamp's capacity names this cross-section in this class; where none is stated, everything.
#[must_use]
pub fn accepts(clamp: &Clamp, class: Class, csa_mm2: Decimal) -> bool {
    clamp.capacity.is_empty()
        || clamp.capacity.iter().any(|row| {
            (row.classes.is_empty() || row.classes.contains(&class))
                && (row.from_mm2..=row.to_mm2).contains(&csa_mm2)
        })
}

/// Every way in which these conductors do not go with this clamp, each once; none for a bare clamp.
#[must_use]
pub fn misfits(clamp: &Clamp, conductors: &[Conductor]) -> Vec<Misfit> {
    let mut found = Vec::new();
    let mut add = |misfit: Misfit| {
        if !found.contains(&misfit) {
            found.push(misfit);
        }
    };
    if conductors.len() > usize::from(clamp.conductors_max) {
        add(Misfit::TooMany { count: conductors.len() });
    } else if let Some(kinds) = mixed(clamp, conductors) {
        add(Misfit::Mixed { kinds });
    }
    for conductor in conductors {
        if conductor.size_seen() && !accepts(clamp, conductor.class, conductor.csa_mm2) {
            add(Misfit::OutsideCapacity { csa_mm2: conductor.csa_mm2, class: conductor.class });
        }
        if conductor.metal == Metal::Aluminium && !clamp.aluminium {
            add(Misfit::Aluminium { csa_mm2: conductor.csa_mm2 });
        }
        let named = |planned: &Preparation| clamp.preparations.contains(planned);
        match &conductor.planned {
            Some(planned) if !clamp.preparations.is_empty() && !named(planned) => {
                add(Misfit::NotNamed { planned: planned.clone() });
            }
            planned if loose(clamp, conductor) && !planned.as_ref().is_some_and(named) => {
                add(Misfit::FineStranded { kind: Kind::of(conductor), planned: planned.clone() });
            }
            _ => {}
        }
    }
    found
}

/// The different kinds under one screw, where the clamp is not stated for that.
///
/// A row of the maker's table that names the number of conductors and holds for all of them is taken as a statement
/// about them together. Our choice: makers print a torque for two conductors where they allow two.
fn mixed(clamp: &Clamp, conductors: &[Conductor]) -> Option<Vec<Kind>> {
    let mut kinds: Vec<Kind> = Vec::new();
    for kind in conductors.iter().map(Kind::of) {
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    let stated = clamp.torque_for(conductors).is_some_and(|row| row.conductors.is_some());
    (kinds.len() > 1 && clamp.kind.has_screw() && !stated).then_some(kinds)
}

/// Whether fine strands go under a screw with nothing round them. Own words are not judged.
fn loose(clamp: &Clamp, conductor: &Conductor) -> bool {
    let held = match &conductor.planned {
        Some(
            Preparation::Ferruled | Preparation::CompressionPin | Preparation::Lug | Preparation::Other(_),
        ) => true,
        Some(
            Preparation::InLay
            | Preparation::ReTwisted
            | Preparation::Flattened
            | Preparation::FoldedBack
            | Preparation::Solid,
        )
        | None => false,
    };
    clamp.kind.has_screw() && conductor.class.fine_stranded() && !held
}

impl Misfit {
    /// What was found: `50 mm2, class 2, is outside the capacity`.
    #[must_use]
    pub fn found(&self) -> String {
        match self {
            Self::OutsideCapacity { csa_mm2, class } => {
                format!("{csa_mm2} mm2, class {}, is outside the capacity", class.number())
            }
            Self::TooMany { count } => format!("{count} conductors in one clamp"),
            Self::Mixed { kinds } => {
                let words: Vec<String> = kinds.iter().map(Kind::words).collect();
                format!("different conductors in one clamp: {}", words.join(" with "))
            }
            Self::FineStranded { kind, planned: Some(planned) } => {
                format!("{}, is fine-stranded and planned {}", kind.words(), planned.words())
            }
            Self::FineStranded { kind, planned: None } => {
                format!("{}, is fine-stranded and no ferrule is planned", kind.words())
            }
            Self::Aluminium { csa_mm2 } => format!("aluminium, {csa_mm2} mm2"),
            Self::NotNamed { planned } => format!("{} is planned", planned.words()),
        }
    }

    /// What its clamp is stated for, to be read behind the clamp's name: `takes 6 to 35 mm2 in class 1 or 2`.
    #[must_use]
    pub fn stated(&self, clamp: &Clamp) -> String {
        match self {
            Self::OutsideCapacity { .. } => {
                let rows: Vec<String> = clamp.capacity.iter().map(capacity_words).collect();
                format!("takes {}", rows.join(", "))
            }
            Self::TooMany { .. } => match clamp.conductors_max {
                1 => "takes one".to_owned(),
                most => format!("takes {most}"),
            },
            Self::Mixed { .. } => match clamp.conductors_max {
                1 => "takes one".to_owned(),
                most => format!("takes {most}, and no torque is stated for a mix"),
            },
            Self::FineStranded { .. } if clamp.preparations.is_empty() => {
                "has a screw: ferrule, compression pin or lug keep the strands together".to_owned()
            }
            Self::FineStranded { .. } | Self::NotNamed { .. } => {
                let words: Vec<&str> = clamp.preparations.iter().map(Preparation::words).collect();
                format!("is stated for: {}", words.join("; "))
            }
            Self::Aluminium { .. } => "is not stated for aluminium".to_owned(),
        }
    }
}

/// `6 to 35 mm2 in class 1 or 2`.
fn capacity_words(row: &Capacity) -> String {
    let numbers: Vec<String> = row.classes.iter().map(|class| class.number().to_string()).collect();
    let classes =
        if numbers.is_empty() { "any class".into() } else { format!("class {}", numbers.join(" or ")) };
    if row.from_mm2 == row.to_mm2 {
        format!("{} mm2 in {classes}", row.from_mm2)
    } else {
        format!("{} to {} mm2 in {classes}", row.from_mm2, row.to_mm2)
    }
}
