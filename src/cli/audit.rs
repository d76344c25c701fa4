//! `audit BOARD`: an existing board, with its board file or entered quickly as ways and poles.

use super::failure::Failure;
use super::{Face, Talk, visit};
use crate::board_file::quick::Quick;
use crate::board_file::{self, FORMAT};
use crate::domain::record::VisitKind;
use crate::domain::text::{NAME_COLUMNS, checked};
use crate::journal::{RealStorage, Storage as _, StoredFile as _};
use rust_decimal::Decimal;
use std::path::Path;

/// Most ways entered quickly.
const WAYS_MAX: u16 = 100;

/// `audit BOARD`
pub(super) fn audit(
    talk: &mut Talk<'_>,
    path: &Path,
    face: &Face,
    tools: Option<&Path>,
) -> Result<(), Failure> {
    if !path.exists() {
        quickly(talk, path)?;
    }
    visit::of_kind(talk, path, (face, tools), VisitKind::Audit)
}

/// Asks for ways and poles and keeps them as a board file.
fn quickly(talk: &mut Talk<'_>, path: &Path) -> Result<(), Failure> {
    writeln!(
        talk.out,
        "There is no board file {}. Enter the board quickly, as ways and poles with clamps unknown; it is kept there \
         and can be completed later. An empty line takes what stands in brackets.",
        path.display()
    )?;
    let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let reference = words(talk, "Reference on the board's label", stem.as_deref())?;
    let title = words(talk, "What is it called", Some(&reference))?;
    let site = words(talk, "Site or installation", None)?;
    let location = words(talk, "Where on the site", None)?;
    let three_phase = loop {
        match line(talk, "Supply: 1 single-phase, 3 three-phase and neutral", None)?.as_str() {
            "1" => break false,
            "3" => break true,
            other => writeln!(talk.out, "not taken: {other:?}; 1 or 3")?,
        }
    };
    let rated_a = number(talk, "Rated current, A")?;
    let ways = loop {
        let typed = line(talk, "How many ways", None)?;
        match typed.parse::<u16>() {
            Ok(ways) if (1..=WAYS_MAX).contains(&ways) => break ways,
            _ => writeln!(talk.out, "not taken: {typed:?}; a whole number from 1 to {WAYS_MAX}")?,
        }
    };
    let three_pole = if three_phase {
        some_ways(talk, "Ways with a three-pole device, with commas", ways)?
    } else {
        Vec::new()
    };
    let spare = some_ways(talk, "Ways with nothing connected, with commas", ways)?;
    let quick = Quick { reference, title, site, location, three_phase, rated_a, ways, three_pole, spare };
    keep(talk, path, &quick.text())
}

/// Writes the file; never over another, and only what can be read again.
fn keep(talk: &mut Talk<'_>, path: &Path, text: &str) -> Result<(), Failure> {
    if let Err(problems) = board_file::read(text.as_bytes()) {
        let words = board_file::render(&problems, "what was entered", text);
        return Err(Failure::Mend(format!("{}\nNothing was written.", words.trim_end())));
    }
    let written = RealStorage.create_new(path).and_then(|mut file| {
        file.write_at(0, text.as_bytes())?;
        file.sync_data()
    });
    written.map_err(|why| {
        Failure::mend(
            format!("{} cannot be written: {why}", path.display()),
            "name a file in a folder that is there and may be written to",
        )
    })?;
    writeln!(talk.out, "Kept as {} (board file, format {FORMAT}).", path.display())?;
    Ok(())
}

/// A line as it was typed, or what is offered; asked again while it is empty.
fn line(talk: &mut Talk<'_>, asked: &str, offered: Option<&str>) -> Result<String, Failure> {
    loop {
        match offered {
            Some(offered) => write!(talk.out, "{asked} [{offered}] > ")?,
            None => write!(talk.out, "{asked} > ")?,
        }
        talk.out.flush()?;
        let mut typed = String::new();
        if talk.input.read_line(&mut typed)? == 0 {
            return Err(Failure::mend(
                format!("the input ended at: {asked}"),
                "nothing was written; start again, or write a board file (witnessmark example)",
            ));
        }
        match (typed.trim(), offered) {
            ("", Some(offered)) => return Ok(offered.to_owned()),
            ("", None) => writeln!(talk.out, "this cannot be left empty")?,
            (typed, _) => return Ok(typed.to_owned()),
        }
    }
}

fn words(talk: &mut Talk<'_>, asked: &str, offered: Option<&str>) -> Result<String, Failure> {
    loop {
        match checked(&line(talk, asked, offered)?, NAME_COLUMNS) {
            Ok(words) => return Ok(words),
            Err(bad) => writeln!(talk.out, "not taken: {}", bad.reason())?,
        }
    }
}

/// Digits of a number above 0.
fn number(talk: &mut Talk<'_>, asked: &str) -> Result<String, Failure> {
    loop {
        let typed = line(talk, asked, None)?.replace(',', ".");
        let typed = typed.trim_end_matches(['A', 'a']).trim_end();
        match Decimal::from_str_exact(typed) {
            Ok(value) if value > Decimal::ZERO => return Ok(value.to_string()),
            _ => writeln!(talk.out, "not taken: {typed:?}; a number above 0")?,
        }
    }
}

/// Numbers of ways, or the word none.
fn some_ways(talk: &mut Talk<'_>, asked: &str, ways: u16) -> Result<Vec<u16>, Failure> {
    loop {
        let typed = line(talk, asked, Some("none"))?;
        if typed == "none" {
            return Ok(Vec::new());
        }
        let numbers: Option<Vec<u16>> = typed
            .split([',', ' '])
            .filter(|part| !part.is_empty())
            .map(|part| part.parse().ok().filter(|way| (1..=ways).contains(way)))
            .collect();
        match numbers {
            Some(numbers) if !numbers.is_empty() => return Ok(numbers),
            _ => writeln!(talk.out, "not taken: {typed:?}; ways 1 to {ways} with commas, or none")?,
        }
    }
}
