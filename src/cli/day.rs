//! The day a command answers for: today, or one that is named.

use super::failure::Failure;
use super::known;
use crate::clock::Clock;
use clap::Args;
use jiff::civil::Date;

/// `--on DATE`
#[derive(Debug, Args)]
pub(super) struct OnDay {
    /// The day it is for, instead of today: 2026-03-02
    #[arg(long, value_name = "DATE")]
    on: Option<String>,
}

impl OnDay {
    /// The day that is meant.
    pub(super) fn day(&self) -> Result<Date, Failure> {
        match &self.on {
            None => Ok(known::today(&Clock::start())),
            Some(typed) => named(typed),
        }
    }
}

/// Reads a day as it stands in tools files and records; other ways of writing one leave open which figure is the month.
fn named(typed: &str) -> Result<Date, Failure> {
    let typed = typed.trim();
    let help = "type year, month and day: 2026-03-02";
    let figures = |text: &str, count: usize| text.len() == count && text.bytes().all(|b| b.is_ascii_digit());
    let parts: Vec<&str> = typed.split('-').collect();
    let [year, month, day] = parts.as_slice() else {
        return Err(Failure::mend(format!("\"{typed}\" is no day that can be read"), help));
    };
    if !(figures(year, 4) && figures(month, 2) && figures(day, 2)) {
        return Err(Failure::mend(format!("\"{typed}\" is no day that can be read"), help));
    }
    let no_such = |_: jiff::Error| Failure::mend(format!("the calendar has no day {typed}"), help);
    typed.parse().map_err(no_such)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(typed: &str) -> String {
        match named(typed) {
            Ok(day) => day.to_string(),
            Err(why) => why.message().unwrap_or_default(),
        }
    }

    /// The calendar is that of ISO 8601.
    #[test]
    fn a_day_is_year_month_and_day() {
        assert_eq!(said(" 2026-03-02 "), "2026-03-02");
        assert_eq!(said("2024-02-29"), "2024-02-29");
        for wrong in
            ["tomorrow", "2.3.2026", "20260302", "2026-3-2", "2026-03-02T10:00", "", "2026-03-0\u{664}"]
        {
            assert!(said(wrong).contains("is no day that can be read\nhelp: type year"), "{wrong}");
        }
        for none in ["2026-02-30", "2025-02-29", "2026-13-01", "2026-00-10"] {
            assert!(said(none).contains(&format!("the calendar has no day {none}\nhelp: ")), "{none}");
        }
    }
}
