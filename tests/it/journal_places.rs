//! Records on real disks: full, read-only, taken away, locked; and the folder they lie in.

use crate::facts::{Dice, abandoned, closed, count, draft, opened, remark, session, some_tool, tiny_board};
use crate::faulty::{Broken, Faulty};
use crate::rig::snap;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;
use witnessmark::domain::moment::Moment;
use witnessmark::domain::record::{Draft, Fact, Line, SessionCause, Torn, VisitKind};
use witnessmark::journal::line::LineFault;
use witnessmark::journal::lock::lock_path;
use witnessmark::journal::{
    End, Journal, RealStorage, ResumeError, Storage, StoreError, StoreFault, Trouble, archive, intact, names,
    read, resume,
};

const ID: &str = "aaaa2222";

fn first_drafts() -> Vec<Draft> {
    vec![draft(1, opened(ID)), draft(2, session(SessionCause::Opened, None))]
}

fn resumed(lines: &[Line], torn: Option<Torn>) -> Draft {
    let next = count(lines.len()) + 1;
    draft(next, session(SessionCause::Resumed, torn))
}

/// A journal of two lines in a folder of its own.
fn begun() -> (TempDir, PathBuf, Journal<RealStorage>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("stick/board=y/2026-11-25-first-aaaa2222.jsonl");
    let mut journal = Journal::create(RealStorage, &path).unwrap();
    journal.append(&first_drafts()).unwrap();
    (folder, path, journal)
}

/// Says so in the test's output, whether it is captured or not.
fn skipped(why: &str) {
    let mut err = std::io::stderr();
    let _ = err.write_all(format!("SKIPPED: {why}\n").as_bytes());
}

/// A small disk of its own, where the machine lets us have one.
pub(crate) struct SmallDisk(TempDir);

impl SmallDisk {
    pub(crate) fn new(size: &str) -> Option<Self> {
        let folder = tempfile::tempdir().unwrap();
        let size = format!("size={size}");
        let mount =
            Command::new("mount").args(["-t", "tmpfs", "-o", &size, "tmpfs"]).arg(folder.path()).output();
        if mount.is_ok_and(|done| done.status.success()) {
            return Some(Self(folder));
        }
        skipped("no small disk can be mounted here (not root?)");
        None
    }

    pub(crate) fn path(&self) -> &Path {
        self.0.path()
    }

    pub(crate) fn remount(&self, how: &str) -> bool {
        let options = format!("remount,{how}");
        Command::new("mount").args(["-o", &options]).arg(self.0.path()).status().unwrap().success()
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.0.path()).status();
    }
}

#[test]
fn a_really_full_disk_is_said_and_gone_on_with_after_room_was_made() {
    let Some(disk) = SmallDisk::new("64k") else { return };
    let ballast = disk.0.path().join("ballast");
    fs::File::create(&ballast).unwrap().write_all(&vec![0; 20_000]).unwrap();
    let path = disk.0.path().join("board=y/a.jsonl");
    let mut journal = Journal::create(RealStorage, &path).unwrap();
    let mut lines = journal.append(&first_drafts()).unwrap();
    let error = loop {
        let next = journal.lines() + 1;
        match journal.append(&[draft(next, remark(&"x".repeat(230)))]) {
            Ok(more) => lines.extend(more),
            Err(error) => break error,
        }
        assert!(next < 1_000, "64 kB are never full");
    };
    assert_eq!((&error.fault, error.confirmed), (&StoreFault::Disk(Trouble::DiskFull), count(lines.len())));
    assert!(journal.retry().is_err(), "there is room without any being made");
    // what the disk holds then is every confirmed line, and perhaps a piece of the next
    assert_eq!(read(&RealStorage, &path).unwrap().lines, lines);
    fs::remove_file(ballast).unwrap();
    lines.extend(journal.retry().unwrap());
    drop(journal);
    let record = read(&RealStorage, &path).unwrap();
    assert_eq!((record.lines, record.torn), (lines, None));
}

#[test]
fn a_full_disk_is_left_for_another_one() {
    let Some(disk) = SmallDisk::new("32k") else { return };
    let path = disk.0.path().join("a.jsonl");
    let mut journal = Journal::create(RealStorage, &path).unwrap();
    journal.append(&first_drafts()).unwrap();
    while journal.append(&[draft(journal.lines() + 1, remark(&"x".repeat(230)))]).is_ok() {}
    let before = journal.lines();
    let elsewhere = tempfile::tempdir().unwrap();
    let saved = journal.save_elsewhere(&elsewhere.path().join("new/folder")).unwrap();
    journal.retry().unwrap();
    assert_eq!(count(read(&RealStorage, &saved).unwrap().lines.len()), before + 1);
    let both = intact::intact(&RealStorage, &[path, saved]);
    assert_eq!((both.twins[0].common, both.twins[0].other_lines), (before, before + 1));
}

#[test]
fn a_read_only_disk_is_said_and_mended() {
    let Some(disk) = SmallDisk::new("256k") else { return };
    let path = disk.0.path().join("a.jsonl");
    let mut journal = Journal::create(RealStorage, &path).unwrap();
    journal.append(&first_drafts()).unwrap();
    drop(journal);
    assert!(disk.remount("ro"));
    let read_only = StoreFault::Disk(Trouble::ReadOnly);
    let refused = resume(&RealStorage, &path, resumed).unwrap_err();
    assert!(matches!(&refused, ResumeError::Store(e) if e.fault == read_only), "{refused}");
    let other = disk.0.path().join("b.jsonl");
    assert_eq!(Journal::create(RealStorage, &other).unwrap_err().fault, read_only);
    assert_eq!(read(&RealStorage, &path).unwrap().lines.len(), 2);
    assert!(disk.remount("rw"));
    assert_eq!(resume(&RealStorage, &path, resumed).unwrap().1.len(), 3);
}

#[test]
fn a_folder_taken_away_is_noticed_and_gone_on_with_when_it_is_back() {
    let (folder, path, mut journal) = begun();
    let (stick, drawer) = (folder.path().join("stick"), folder.path().join("drawer"));
    fs::rename(&stick, &drawer).unwrap();
    let error = journal.append(&[draft(3, remark("firm"))]).unwrap_err();
    assert_eq!(error.fault, StoreFault::Disk(Trouble::Vanished));
    assert!(error.file_is_gone() && journal.retry().is_err() && journal.give_up_pending().is_err());
    fs::rename(&drawer, &stick).unwrap();
    assert_eq!(journal.retry().unwrap().len(), 1);
    drop(journal);
    assert_eq!(read(&RealStorage, &path).unwrap().lines.len(), 3);
}

#[test]
fn a_deleted_record_is_written_whole_elsewhere_or_in_its_own_place() {
    let (folder, path, mut journal) = begun();
    fs::remove_dir_all(folder.path().join("stick")).unwrap();
    assert!(journal.append(&[draft(3, remark("firm"))]).is_err());
    assert_eq!(journal.save_elsewhere(path.parent().unwrap()).unwrap(), path);
    assert_eq!(read(&RealStorage, &path).unwrap().lines.len(), 2);
    journal.retry().unwrap();
    fs::remove_dir_all(folder.path().join("stick")).unwrap();
    assert!(journal.append(&[draft(4, remark("mark made"))]).is_err());
    let saved = journal.save_elsewhere(&folder.path().join("laptop/records")).unwrap();
    assert_eq!(saved, folder.path().join("laptop/records/2026-11-25-first-aaaa2222.jsonl"));
    journal.retry().unwrap();
    journal.append(&[draft(5, remark("goes on"))]).unwrap();
    drop(journal);
    assert_eq!(read(&RealStorage, &saved).unwrap().lines.len(), 5);
}

#[test]
fn another_file_in_its_place_is_never_written_to() {
    let (folder, path, mut journal) = begun();
    let other = folder.path().join("other.jsonl");
    let mut stranger = Journal::create(RealStorage, &other).unwrap();
    stranger.append(&[draft(1, opened("bbbb3333"))]).unwrap();
    drop(stranger);
    let theirs = fs::read(&other).unwrap();
    fs::rename(&other, &path).unwrap();
    assert_eq!(journal.append(&[draft(3, remark("firm"))]).unwrap_err().fault, StoreFault::Replaced);
    assert_eq!(journal.retry().unwrap_err().fault, StoreFault::Replaced);
    assert_eq!(fs::read(&path).unwrap(), theirs);
    let occupied = journal.save_elsewhere(path.parent().unwrap()).unwrap_err();
    assert_eq!(occupied.fault, StoreFault::Disk(Trouble::Exists));
    assert_eq!(fs::read(&path).unwrap(), theirs);
}

#[test]
fn what_somebody_changed_in_the_file_is_noticed_with_its_line() {
    let (_folder, path, mut journal) = begun();
    let mut bytes = fs::read(&path).unwrap();
    let second = bytes.iter().position(|byte| *byte == b'\n').unwrap() + 3;
    bytes[second] ^= 1;
    bytes.push(b'\n');
    fs::File::create(&path).unwrap().write_all(&bytes).unwrap();
    // the handle still writes, but no longer where it should
    fs::remove_file(&path).unwrap();
    fs::File::create(&path).unwrap().write_all(&bytes).unwrap();
    let error = journal.append(&[draft(3, remark("firm"))]).unwrap_err();
    assert_eq!(error.fault, StoreFault::Changed { line: 2 });
}

#[test]
fn confirmed_lines_that_the_disk_lost_are_written_again() {
    let (_folder, path, mut journal) = begun();
    let whole = fs::read(&path).unwrap();
    let file = fs::OpenOptions::new().write(true).open(&path).unwrap();
    file.set_len(count(whole.len()) - 40).unwrap();
    assert!(journal.append(&[draft(3, remark("firm"))]).is_err());
    journal.retry().unwrap();
    assert!(fs::read(&path).unwrap().starts_with(&whole));
    assert_eq!(read(&RealStorage, &path).unwrap().lines.len(), 3);
}

/// The lock holds on one machine; a shared disk may have a second writer all the same.
#[test]
fn a_line_that_another_machine_appended_is_neither_written_over_nor_cut_off() {
    let (folder, path, mut journal) = begun();
    // what the other machine would append, made from a copy
    let copy = folder.path().join("copy.jsonl");
    fs::copy(&path, &copy).unwrap();
    let (other, _) = resume(&RealStorage, &copy, resumed).unwrap();
    drop(other);
    let theirs = fs::read(&copy).unwrap();
    let mut file = fs::OpenOptions::new().append(true).open(&path).unwrap();
    file.write_all(&theirs[fs::read(&path).unwrap().len()..]).unwrap();
    let changed = StoreFault::Changed { line: 3 };
    assert_eq!(journal.append(&[draft(3, remark("firm"))]).unwrap_err().fault, changed);
    assert_eq!(journal.retry().unwrap_err().fault, changed);
    assert_eq!(journal.give_up_pending().unwrap_err().fault, changed);
    assert_eq!(fs::read(&path).unwrap(), theirs);
    let saved = journal.save_elsewhere(&folder.path().join("laptop")).unwrap();
    journal.retry().unwrap();
    let twins = intact::intact(&RealStorage, &[path, saved]).twins;
    assert_eq!((twins[0].common, twins[0].one_lines, twins[0].other_lines), (2, 3, 3));
}

#[test]
fn nothing_is_made_over_something() {
    let (_folder, path, journal) = begun();
    drop(journal);
    let before = fs::read(&path).unwrap();
    assert_eq!(Journal::create(RealStorage, &path).unwrap_err().fault, StoreFault::Disk(Trouble::Exists));
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn a_record_has_one_writer() {
    let (_folder, path, journal) = begun();
    let by = Some(format!("process {}", std::process::id()));
    let refused = resume(&RealStorage, &path, resumed).unwrap_err();
    assert!(
        matches!(&refused, ResumeError::Store(e) if e.fault == StoreFault::Held { by: by.clone() }),
        "{refused}"
    );
    // a reader is not kept out
    assert_eq!(read(&RealStorage, &path).unwrap().lines.len(), 2);
    drop(journal);
    assert_eq!(fs::read(lock_path(&path)).unwrap(), b"", "somebody is named who has gone");
    resume(&RealStorage, &path, resumed).unwrap();
}

#[test]
fn a_writer_in_another_process_is_kept_out() {
    let (_folder, path, journal) = begun();
    drop(journal);
    // util-linux; where it is missing the test above still stands for a second handle
    let held = Command::new("flock")
        .arg(lock_path(&path))
        .args(["sh", "-c", "echo held; read end"])
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn();
    let Ok(mut other) = held else {
        skipped("no flock command here");
        return;
    };
    let mut said = String::new();
    std::io::BufRead::read_line(&mut std::io::BufReader::new(other.stdout.take().unwrap()), &mut said)
        .unwrap();
    assert_eq!(said, "held\n");
    let refused = resume(&RealStorage, &path, resumed).unwrap_err();
    assert!(
        matches!(&refused, ResumeError::Store(e) if e.fault == StoreFault::Held { by: None }),
        "{refused}"
    );
    drop(other.stdin.take());
    other.wait().unwrap();
    resume(&RealStorage, &path, resumed).unwrap();
}

#[test]
fn what_is_no_record_is_refused_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let fault = |path: &Path| read(&RealStorage, path).unwrap_err().to_string();
    assert!(fault(folder.path()).contains("folder, not a record"));
    assert!(fault(&folder.path().join("nothing")).contains("not there"));
    let text = folder.path().join("notes.txt");
    fs::File::create(&text).unwrap().write_all(b"buy a torch\n").unwrap();
    assert!(fault(&text).contains("not a visit"));
    fs::File::create(&text).unwrap();
    assert!(fault(&text).contains("not a visit"));
    // a resume of what is not there leaves nothing behind
    assert!(resume(&RealStorage, &folder.path().join("nothing"), resumed).is_err());
    assert_eq!(RealStorage.list(folder.path()).unwrap().len(), 1);
}

#[test]
fn a_fresh_record_lies_where_a_person_would_look() {
    let folder = tempfile::tempdir().unwrap();
    let board = tiny_board();
    let day = Moment::read("2026-11-25T23:59:00+01:00").unwrap();
    let of = |rehearsal| names::board_folder(folder.path(), &board, rehearsal);
    let (id, path) = names::fresh(&RealStorage, &of(false), VisitKind::First, &day).unwrap();
    let expected = format!("site=fennick%20vale%20light%20railway/board=db%201/2026-11-25-first-{id}.jsonl");
    assert_eq!(path, folder.path().join(expected));
    assert!(of(true).starts_with(folder.path().join("rehearsals")));
    assert!(!folder.path().join("site=fennick%20vale%20light%20railway").exists());
}

fn record(storage: &Faulty, path: &str, id: &str, change: impl FnOnce(&mut Vec<Fact>)) {
    let mut facts = vec![opened(id), session(SessionCause::Opened, None)];
    change(&mut facts);
    let drafts: Vec<Draft> = (1..).zip(facts).map(|(seq, fact)| draft(seq, fact)).collect();
    Journal::create(storage.clone(), Path::new(path)).unwrap().append(&drafts).unwrap();
}

#[test]
fn the_records_folder_is_read_from_first_lines_and_damage_is_named() {
    let disk = Faulty::new(0, Broken::default());
    let tool = |letter: &str, seed| Fact::Tool(Box::new(some_tool(letter, &mut Dice(seed))));
    record(&disk, "/r/site=x/board=y/1.jsonl", "aaaa2222", |facts| {
        facts.extend([tool("A", 1), tool("B", 2), tool("A", 3), closed(6)]);
    });
    record(&disk, "/r/site=x/board=y/2.jsonl", "bbbb2222", |facts| facts.push(remark("open")));
    record(&disk, "/r/moved by hand/3.jsonl", "cccc2222", |facts| facts.push(abandoned()));
    record(&disk, "/r/rehearsals/site=x/4.jsonl", "dddd2222", |_| {});
    record(&disk, "/r/5.jsonl", "eeee2222", |facts| {
        if let Some(Fact::Opened(opened)) = facts.first_mut() {
            opened.rehearsal = true;
        }
    });
    disk.put(Path::new("/r/site=x/board=y/6.jsonl"), b"rubbish\n");
    disk.put(Path::new("/r/site=x/board=y/7.jsonl.new"), b"rubbish\n");
    let folder = names::board_folder(Path::new("/r"), &tiny_board(), false);
    record(&disk, &folder.join("8.jsonl").display().to_string(), "ffff2222", |_| {});
    disk.put(&folder.join("8.jsonl"), b"rubbish\n");
    let found = archive::scan(&disk, Path::new("/r"), false).unwrap();
    let ids = |found: &archive::Archive| found.entries.iter().map(|e| e.id.clone()).collect::<Vec<_>>();
    assert_eq!(ids(&found), ["cccc2222", "aaaa2222", "bbbb2222"]);
    assert_eq!(found.unreadable.len(), 2);
    assert!(found.unreadable[1].path.ends_with("6.jsonl"));
    let board = tiny_board();
    let suspect = found.unreadable_of(Path::new("/r"), &board, false).map(|error| error.path.clone());
    assert_eq!(suspect.collect::<Vec<_>>(), [folder.join("8.jsonl")]);
    let open: Vec<&str> = found.open_visits(&board, VisitKind::First).map(|e| e.id.as_str()).collect();
    assert_eq!(open, ["bbbb2222"]);
    assert_eq!(found.open_visits(&board, VisitKind::Audit).count(), 0);
    let last = found.last_closed().unwrap();
    assert_eq!((last.id.as_str(), last.end, last.lines), ("aaaa2222", End::Closed, 6));
    assert_eq!(Some(last), found.last_closed_of(&board));
    let tools = [some_tool("A", &mut Dice(3)), some_tool("B", &mut Dice(2))];
    assert_eq!(found.last_tools(), tools);
    let other = witnessmark::domain::board::Board { reference: "DB 2".into(), ..board };
    assert_eq!(found.of(&other).count(), 0);
    assert_eq!(archive::scan(&disk, Path::new("/r"), true).unwrap().entries.len(), 5);
    assert_eq!(archive::scan(&disk, Path::new("/none"), false).unwrap(), archive::Archive::default());
}

#[test]
fn the_check_of_files_reads_well() {
    let disk = Faulty::new(0, Broken::default());
    record(&disk, "/r/closed.jsonl", ID, |facts| facts.extend([remark("a"), remark("b"), closed(5)]));
    let whole = disk.read(Path::new("/r/closed.jsonl")).unwrap();
    let lines: Vec<&[u8]> = whole.split_inclusive(|byte| *byte == b'\n').collect();
    disk.put(Path::new("/r/cut lines.jsonl"), &lines[..3].concat());
    disk.put(Path::new("/r/torn.jsonl"), &whole[..whole.len() - 20]);
    let mut flipped = whole.clone();
    flipped[lines[0].len() + lines[1].len() + 40] ^= 1;
    disk.put(Path::new("/r/flipped.jsonl"), &flipped);
    let mut odd = whole.clone();
    odd[lines[0].len()] = 0x1b;
    disk.put(Path::new("/r/odd.jsonl"), &odd);
    disk.put(Path::new("/r/first line.jsonl"), &lines[0][..500]);
    record(&disk, "/r/abandoned.jsonl", "bbbb3333", |facts| facts.push(abandoned()));
    let names = ["closed", "cut lines", "torn", "flipped", "odd", "first line", "abandoned", "missing"];
    let paths: Vec<PathBuf> = names.iter().map(|name| PathBuf::from(format!("/r/{name}.jsonl"))).collect();
    let found = intact::intact(&disk, &paths);
    let reports = found.reports.iter().map(ToString::to_string);
    let twins = found.twins.iter().map(ToString::to_string);
    let mut text = reports.chain(twins).collect::<Vec<_>>().join("\n\n");
    // links change with every field a fact is given
    let is_link = |word: &&str| word.len() == 64 && word.bytes().all(|b| b.is_ascii_hexdigit());
    for link in text.clone().split_whitespace().filter(is_link) {
        text = text.replace(link, "<64 hex digits>");
    }
    snap().bind(|| insta::assert_snapshot!("journal_intact", text));
}

#[test]
fn what_goes_wrong_is_said_with_what_is_safe_and_what_to_do() {
    let faults = [
        StoreFault::Disk(Trouble::DiskFull),
        StoreFault::Disk(Trouble::ReadOnly),
        StoreFault::Disk(Trouble::NoPermission),
        StoreFault::Disk(Trouble::Vanished),
        StoreFault::Disk(Trouble::Exists),
        StoreFault::Disk(Trouble::Other("Input/output error (os error 5)".into())),
        StoreFault::Held { by: Some("process 4711".into()) },
        StoreFault::Held { by: None },
        StoreFault::Replaced,
        StoreFault::Changed { line: 12 },
        StoreFault::Pending,
        StoreFault::Finished,
        StoreFault::OutOfTurn { found: 9, expected: 8 },
        StoreFault::Line(LineFault::TooLong { bytes: 5_000_000, allowed: 4_194_304 }),
    ];
    let path = PathBuf::from("records/board=db%201/2026-11-25-first-aaaa2222.jsonl");
    let said = |(confirmed, fault)| StoreError { path: path.clone(), fault, confirmed }.to_string();
    let text = [0, 1].into_iter().chain(std::iter::repeat(41)).zip(faults).map(said);
    let mut text = text.collect::<Vec<_>>();
    for fault in [StoreFault::Disk(Trouble::DiskFull), StoreFault::Held { by: None }, StoreFault::Finished] {
        let error = StoreError { path: path.clone(), fault, confirmed: 41 };
        text.push(ResumeError::Store(error).to_string());
    }
    text.push(
        ResumeError::TornTooLong { path: path.clone(), bytes: 9_000_000, allowed: 4_194_304 }.to_string(),
    );
    let text = text.join("\n\n");
    snap().bind(|| insta::assert_snapshot!("journal_not_recorded", text));
}
