//! The Tools page: every tool with its history; adding, putting right, calibrating, doubting, retiring, and verdicts on
//! work done with a tool that is in question.
//!
//! History only grows. Every change is a whole new toolbox that is handed out to be saved, and the page shows the old
//! one until it is told that the new one is durable. What is wrong with an answer is judged by the toolbox itself.

mod ask;
mod form;
mod look_back;
mod show;
mod work;

pub use work::{DoubtedInVisit, Used, Work};

use super::block::{Block, Row};
use super::{Page, Turn};
use crate::domain::toolbox::{KnownTool, Toolbox};
use crate::session::desk::{Question, Topic, choice};
use form::{Field, Form, Purpose};
use jiff::civil::Date;
use work::Period;

/// What the page wants done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ToolsDeed {
    /// These tools are to be made durable in the place of the others; then [`Tools::saved`] or [`Tools::not_saved`].
    Save(Toolbox),
}

/// The page.
#[derive(Clone, Debug)]
pub struct Tools {
    /// As they stand in the file.
    toolbox: Toolbox,
    used: Used,
    today: Date,
    at: Place,
    form: Option<Form>,
    /// On its way to the file.
    saving: Option<Toolbox>,
    /// Why it is not there.
    trouble: Option<String>,
}

/// Where the person is; tools by their serial number.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Place {
    List,
    Tool(String),
    Work(String),
}

/// What an entry of a list leads to.
#[derive(Clone, Debug)]
enum Entry {
    Go(Place),
    Begin(Purpose),
}

impl Tools {
    /// Over the tools of the file and what records say of them.
    #[must_use]
    pub fn new(toolbox: Toolbox, used: Used, today: Date) -> Self {
        Self { toolbox, used, today, at: Place::List, form: None, saving: None, trouble: None }
    }

    /// The list for who only reads.
    #[must_use]
    pub fn summary(&self) -> Vec<Block> {
        let mut blocks = show::list(&self.order(), &self.used, self.today);
        blocks.iter_mut().flat_map(|block| &mut block.rows).for_each(|row| row.number = None);
        blocks
    }

    /// What was done with a tool in the time that is in question, for who only reads; by its serial number.
    #[must_use]
    pub fn work(&self, serial: &str) -> Vec<Block> {
        let mut blocks =
            self.toolbox.of_serial(serial).map(|tool| show::work(tool, &self.used)).unwrap_or_default();
        blocks.iter_mut().flat_map(|block| &mut block.rows).for_each(|row| row.number = None);
        blocks
    }

    /// What was handed out is durable; what to tell.
    #[must_use]
    pub fn saved(&mut self) -> String {
        if let Some(toolbox) = self.saving.take() {
            self.toolbox = toolbox;
        }
        self.trouble = None;
        match self.form.take().map(|form| form.purpose) {
            Some(Purpose::Add) => {
                if let Some(tool) = self.toolbox.tools.last() {
                    self.at = Place::Tool(tool.serial.clone());
                }
                "saved: the tool is in the tools file".into()
            }
            Some(Purpose::Edit(serial)) => {
                // the serial number itself may have been put right
                if self.toolbox.of_serial(&serial).is_none() {
                    self.at = Place::List;
                }
                "saved: what is stated of the tool".into()
            }
            Some(Purpose::Calibrate(_)) => {
                "saved: the calibration is added, and every earlier one is kept".into()
            }
            Some(Purpose::Doubt(_)) => "saved: the tool is doubted".into(),
            Some(Purpose::FirstUse(_)) => "saved: the day of its first use".into(),
            Some(Purpose::Release { .. }) => "saved: the tool is trusted again".into(),
            Some(Purpose::Retire(_)) => "saved: the tool is retired".into(),
            Some(Purpose::Verdict { .. }) => "saved: the verdict is kept with the tool".into(),
            None => "saved".into(),
        }
    }

    /// What was handed out is not durable; why. The form stands, so that it can be tried again.
    pub fn not_saved(&mut self, why: impl Into<String>) {
        self.saving = None;
        self.trouble = Some(why.into());
    }

    /// Tools in use, then those retired.
    fn order(&self) -> Vec<&KnownTool> {
        let retired = self.toolbox.tools.iter().filter(|tool| tool.retired.is_some());
        self.toolbox.in_use().chain(retired).collect()
    }

    fn entries(&self) -> Vec<(String, Entry)> {
        match &self.at {
            Place::List => {
                let look = |tool: &&KnownTool| {
                    (format!("look at {}", tool.name), Entry::Go(Place::Tool(tool.serial.clone())))
                };
                let add = ("add a tool".to_owned(), Entry::Begin(Purpose::Add));
                self.order().iter().map(look).chain([add]).collect()
            }
            Place::Tool(serial) => self.of_tool(serial),
            Place::Work(serial) => {
                let back = ("back to the tool".to_owned(), Entry::Go(Place::Tool(serial.clone())));
                let Some(tool) = self.toolbox.of_serial(serial) else { return vec![back] };
                let period = Period::of(tool, &self.used);
                let verdict = |work: &Work| Purpose::Verdict {
                    serial: serial.clone(),
                    board: work.board.clone(),
                    record: work.record.clone(),
                };
                let work = self.used.in_period(serial, &period);
                let work = work
                    .map(|(work, _)| (format!("a verdict on {}", work.board), Entry::Begin(verdict(work))));
                work.chain([back]).collect()
            }
        }
    }

    fn of_tool(&self, serial: &str) -> Vec<(String, Entry)> {
        let Some(tool) = self.toolbox.of_serial(serial) else {
            return vec![("back to the tools".into(), Entry::Go(Place::List))];
        };
        let begin = |words: &str, purpose: fn(String) -> Purpose| {
            (words.to_owned(), Entry::Begin(purpose(serial.to_owned())))
        };
        let work = ("what was done with it".to_owned(), Entry::Go(Place::Work(serial.to_owned())));
        let mut list = vec![begin("add a calibration", Purpose::Calibrate), work];
        if tool.retired.is_some() {
            return list;
        }
        if tool.calibration().is_some_and(|calibration| calibration.first_use.is_none()) {
            list.push(begin("say when it was first used", Purpose::FirstUse));
        }
        let in_visit = self.used.doubt_of(tool).and_then(DoubtedInVisit::in_toolbox);
        list.push(match (tool.doubted(), in_visit) {
            (None, None) => begin("doubt it", Purpose::Doubt),
            (doubted, in_visit) => {
                let doubt = in_visit.filter(|_| doubted.is_none());
                ("trust it again".into(), Entry::Begin(Purpose::Release { serial: serial.to_owned(), doubt }))
            }
        });
        list.push(begin("put right what is stated", Purpose::Edit));
        list.push(begin("retire it", Purpose::Retire));
        list
    }

    fn form_answer(&mut self, form: &Form, answer: &str) -> Result<Turn<ToolsDeed>, String> {
        let field = form.next(&self.toolbox);
        if field == Field::Save {
            if answer == "2" {
                self.form = None;
                self.trouble = None;
                return Ok(Turn::Stay);
            }
            let toolbox = form.change(&self.toolbox, self.today).map_err(|refused| refused.to_string())?;
            self.saving = Some(toolbox.clone());
            return Ok(Turn::Do(ToolsDeed::Save(toolbox)));
        }
        ask::shape(field, answer)?;
        let next = form.with(field, answer);
        if let Some(fault) = next.fault(&self.toolbox, self.today) {
            return Err(format!("{}; {}", fault.reason(), fault.help()));
        }
        self.form = Some(next);
        Ok(Turn::Stay)
    }
}

impl Page for Tools {
    type Deed = ToolsDeed;

    fn title(&self) -> String {
        let name =
            |serial: &str| self.toolbox.of_serial(serial).map_or("", |tool| tool.name.as_str()).to_owned();
        match &self.at {
            Place::List => "TOOLS".into(),
            Place::Tool(serial) | Place::Work(serial) => {
                format!("TOOLS   {}   serial {serial}", name(serial))
            }
        }
    }

    fn body(&self) -> Vec<Block> {
        let of = |serial: &str| self.toolbox.of_serial(serial);
        let mut blocks = match (&self.form, &self.at) {
            (Some(form), _) => show::form(form, &self.toolbox),
            (None, Place::List) => show::list(&self.order(), &self.used, self.today),
            (None, Place::Tool(serial)) => {
                of(serial).map(|tool| show::tool(tool, &self.used, self.today)).unwrap_or_default()
            }
            (None, Place::Work(serial)) => {
                of(serial).map(|tool| show::work(tool, &self.used)).unwrap_or_default()
            }
        };
        if let Some(why) = &self.trouble {
            let rows = why.lines().map(|line| Row::new([line]).needing(true));
            blocks.insert(0, Block::new("NOT SAVED").listing(rows));
        }
        blocks
    }

    fn question(&self) -> Question {
        if let Some(form) = &self.form {
            return ask::question(form, form.next(&self.toolbox), &self.toolbox);
        }
        let entries = self.entries();
        let text = match &self.at {
            Place::List if entries.len() == 1 => "What now? Its number:",
            Place::List => "Look at which tool? Its number:",
            Place::Tool(_) => "What about it? Its number:",
            Place::Work(_) if entries.len() == 1 => "No verdict is needed.",
            Place::Work(_) => "A verdict on which? Its number:",
        };
        let offered = (entries.len() == 1).then(|| "1".to_owned());
        Question::new(Topic::List, text, choice(entries.into_iter().map(|(words, _)| words)))
            .offering_if(offered)
    }

    fn answer(&mut self, answer: &str) -> Result<Turn<ToolsDeed>, String> {
        if let Some(form) = self.form.clone() {
            return self.form_answer(&form, answer);
        }
        let picked = answer.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        let entries = self.entries();
        match picked.and_then(|at| entries.into_iter().nth(at)) {
            Some((_, Entry::Go(place))) => self.at = place,
            Some((_, Entry::Begin(purpose))) => self.form = Some(Form::new(purpose)),
            None => return Err("there is no such entry".into()),
        }
        Ok(Turn::Stay)
    }

    fn is_retold(&self) -> bool {
        let begun = |form: &Form| !form.given.is_empty() && form.next(&self.toolbox) != Field::Save;
        !self.form.as_ref().is_some_and(begun)
    }

    fn back(&mut self) -> bool {
        self.trouble = None;
        if let Some(form) = &mut self.form {
            if form.given.pop().is_none() {
                self.form = None;
            }
            return true;
        }
        let to = match &self.at {
            Place::List => return false,
            Place::Tool(_) => Place::List,
            Place::Work(serial) => Place::Tool(serial.clone()),
        };
        self.at = to;
        true
    }
}
