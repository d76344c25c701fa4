//! A disk in memory that fails as disks fail, by a seed.
//!
//! It keeps apart what a reader sees and what a loss of power would leave. A write may stop anywhere; a sync may
//! fail and make the disk forget what it had not kept (what is read from memory afterwards is then not what a later
//! sync keeps); a crash leaves any beginning of what was not synced, and of a folder all or nothing of what changed
//! in it since its last sync.

use crate::facts::{Dice, count};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use witnessmark::journal::lock::LockFault;
use witnessmark::journal::storage::{Listed, folder_of};
use witnessmark::journal::{Storage, StoredFile};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Node {
    Folder,
    File(usize),
}

#[derive(Clone, Debug, Default)]
struct Contents {
    seen: Vec<u8>,
    /// One for each byte seen: not given to the disk yet.
    dirty: Vec<bool>,
    kept: Vec<u8>,
}

/// What is broken about it.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Broken {
    /// One operation in so many fails; 0 = none.
    pub(crate) one_in: u64,
    /// Of those that fail, some end in a crash.
    pub(crate) crashes: bool,
    /// `sync_data` says that it did and did nothing.
    pub(crate) sync_does_nothing: bool,
    /// The same of folders.
    pub(crate) folder_sync_does_nothing: bool,
    /// Every operation that changes something fails so.
    pub(crate) always: Option<io::ErrorKind>,
}

#[derive(Debug)]
pub(crate) struct Disk {
    dice: Dice,
    pub(crate) broken: Broken,
    crashed: bool,
    /// Counts restarts: handles and locks of an earlier life are dead.
    life: u64,
    contents: Vec<Contents>,
    seen: BTreeMap<PathBuf, Node>,
    kept: BTreeMap<PathBuf, Node>,
    locks: BTreeSet<PathBuf>,
}

/// The disk as the journal is given it.
#[derive(Clone, Debug)]
pub(crate) struct Faulty(pub(crate) Rc<RefCell<Disk>>);

enum Fate {
    Well,
    /// Fails, perhaps half done.
    Fails(io::Error),
    /// Half done, and the power is gone.
    Crashes,
}

impl Faulty {
    pub(crate) fn new(seed: u64, broken: Broken) -> Self {
        let root = BTreeMap::from([(PathBuf::from("/r"), Node::Folder)]);
        Self(Rc::new(RefCell::new(Disk {
            dice: Dice(seed),
            broken,
            crashed: false,
            life: 0,
            contents: Vec::new(),
            seen: root.clone(),
            kept: root,
            locks: BTreeSet::new(),
        })))
    }

    pub(crate) fn crashed(&self) -> bool {
        self.0.borrow().crashed
    }

    /// Puts a file there, durable.
    pub(crate) fn put(&self, path: &Path, bytes: &[u8]) {
        let mut disk = self.0.borrow_mut();
        let contents =
            Contents { seen: bytes.to_vec(), dirty: vec![false; bytes.len()], kept: bytes.to_vec() };
        disk.contents.push(contents);
        let node = Node::File(disk.contents.len() - 1);
        disk.seen.insert(path.into(), node);
        disk.kept.insert(path.into(), node);
    }

    /// The power goes and comes back. `all` = nothing that was not synced is left; else any part of it may be.
    pub(crate) fn power_cut(&self, all: bool) {
        let mut disk = self.0.borrow_mut();
        disk.crash(all);
        disk.crashed = false;
    }

    fn open_file(&self, number: usize) -> FaultyFile {
        FaultyFile { disk: self.clone(), number, life: self.0.borrow().life }
    }
}

impl Disk {
    fn fate(&mut self) -> Fate {
        if self.crashed {
            return Fate::Fails(io::Error::other("no power"));
        }
        if let Some(kind) = self.broken.always {
            return Fate::Fails(kind.into());
        }
        if self.broken.one_in == 0 || self.dice.below(self.broken.one_in) != 0 {
            return Fate::Well;
        }
        if self.broken.crashes && self.dice.below(6) == 0 {
            return Fate::Crashes;
        }
        let kinds = [io::ErrorKind::StorageFull, io::ErrorKind::Other, io::ErrorKind::PermissionDenied];
        Fate::Fails(kinds[self.dice.index(kinds.len())].into())
    }

    /// Does something to the names, or fails before or after it.
    fn change(&mut self, what: impl FnOnce(&mut Self) -> io::Result<()>) -> io::Result<()> {
        match self.fate() {
            Fate::Well => what(self),
            Fate::Fails(why) => {
                if self.broken.always.is_none() && !self.crashed && self.dice.below(4) == 0 {
                    what(self)?;
                }
                Err(why)
            }
            Fate::Crashes => {
                if self.dice.below(2) == 0 {
                    what(self)?;
                }
                self.crash(false);
                self.crashed = true;
                Err(io::Error::other("the power went"))
            }
        }
    }

    fn crash(&mut self, all: bool) {
        self.life += 1;
        self.locks.clear();
        let changed: BTreeSet<PathBuf> =
            self.seen.keys().chain(self.kept.keys()).map(|path| folder_of(path).to_path_buf()).collect();
        for folder in changed {
            if !all && self.dice.below(3) == 0 {
                self.keep_folder(&folder);
            }
        }
        let kept = self.kept.clone();
        self.kept.retain(|path, _| {
            let mut above = path.ancestors().skip(1).take_while(|at| *at != Path::new("/"));
            above.all(|at| kept.contains_key(at))
        });
        self.seen = self.kept.clone();
        for contents in &mut self.contents {
            contents.crash(if all { None } else { Some(&mut self.dice) });
        }
    }

    fn keep_folder(&mut self, folder: &Path) {
        self.kept.retain(|path, _| folder_of(path) != folder);
        let entries = self.seen.iter().filter(|(path, _)| folder_of(path) == folder);
        self.kept.extend(entries.map(|(path, node)| (path.clone(), *node)));
    }

    fn folder_there(&self, path: &Path) -> io::Result<()> {
        match self.seen.get(folder_of(path)) {
            Some(Node::Folder) => Ok(()),
            None if folder_of(path) == Path::new("/") => Ok(()),
            _ => Err(io::ErrorKind::NotFound.into()),
        }
    }

    fn number(&self, path: &Path) -> io::Result<usize> {
        match self.seen.get(path) {
            Some(Node::File(number)) => Ok(*number),
            Some(Node::Folder) => Err(io::ErrorKind::IsADirectory.into()),
            None => Err(io::ErrorKind::NotFound.into()),
        }
    }
}

impl Contents {
    fn write(&mut self, at: usize, bytes: &[u8]) {
        let end = (at + bytes.len()).max(self.seen.len());
        self.seen.resize(end, 0);
        self.dirty.resize(end, true);
        self.seen[at..at + bytes.len()].copy_from_slice(bytes);
        self.dirty[at..at + bytes.len()].fill(true);
    }

    fn keep(&mut self, upto: usize) {
        if upto >= self.seen.len() {
            self.kept.truncate(self.seen.len());
        }
        let end = upto.min(self.seen.len());
        if self.kept.len() < end {
            self.kept.resize(end, 0);
        }
        for at in 0..end {
            if self.dirty[at] {
                self.kept[at] = self.seen[at];
                self.dirty[at] = false;
            }
        }
    }

    /// Power gone: what was not kept is lost, but for a beginning of it.
    fn crash(&mut self, dice: Option<&mut Dice>) {
        if let Some(dice) = dice {
            let upto = dice.index(self.seen.len() + 1);
            if dice.below(2) == 0 {
                self.keep(upto);
            }
        }
        self.seen = self.kept.clone();
        self.dirty = vec![false; self.seen.len()];
    }
}

/// A file on it.
#[derive(Debug)]
pub(crate) struct FaultyFile {
    disk: Faulty,
    number: usize,
    life: u64,
}

/// A lock on it.
#[derive(Debug)]
pub(crate) struct FaultyLock {
    disk: Faulty,
    path: PathBuf,
    life: u64,
}

impl Drop for FaultyLock {
    fn drop(&mut self) {
        let mut disk = self.disk.0.borrow_mut();
        if disk.life == self.life {
            disk.locks.remove(&self.path);
        }
    }
}

impl Storage for Faulty {
    type File = FaultyFile;
    type Lock = FaultyLock;

    fn create_new(&self, path: &Path) -> io::Result<FaultyFile> {
        self.0.borrow_mut().change(|disk| {
            disk.folder_there(path)?;
            if disk.seen.contains_key(path) {
                return Err(io::ErrorKind::AlreadyExists.into());
            }
            disk.contents.push(Contents::default());
            let node = Node::File(disk.contents.len() - 1);
            disk.seen.insert(path.into(), node);
            Ok(())
        })?;
        self.open(path)
    }

    fn open(&self, path: &Path) -> io::Result<FaultyFile> {
        self.0.borrow_mut().change(|disk| disk.number(path).map(|_| ()))?;
        let number = self.0.borrow().number(path)?;
        Ok(self.open_file(number))
    }

    fn len(&self, path: &Path) -> io::Result<u64> {
        let disk = self.0.borrow();
        let number = disk.number(path)?;
        Ok(count(disk.contents[number].seen.len()))
    }

    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let disk = self.0.borrow();
        let number = disk.number(path)?;
        Ok(disk.contents[number].seen.clone())
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.0.borrow_mut().change(|disk| {
            disk.folder_there(to)?;
            let number = disk.number(from)?;
            disk.seen.remove(from);
            disk.seen.insert(to.into(), Node::File(number));
            Ok(())
        })
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.0.borrow_mut().change(|disk| {
            disk.number(path)?;
            disk.seen.remove(path);
            Ok(())
        })
    }

    fn create_folder(&self, folder: &Path) -> io::Result<()> {
        self.0.borrow_mut().change(|disk| {
            disk.folder_there(folder)?;
            match disk.seen.insert(folder.into(), Node::Folder) {
                None => Ok(()),
                Some(was) => {
                    disk.seen.insert(folder.into(), was);
                    Err(io::ErrorKind::AlreadyExists.into())
                }
            }
        })
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<Listed>> {
        let disk = self.0.borrow();
        if disk.seen.get(folder) != Some(&Node::Folder) {
            return Err(io::ErrorKind::NotFound.into());
        }
        let entries = disk.seen.iter().filter(|(path, _)| folder_of(path) == folder);
        Ok(entries.map(|(path, node)| Listed { path: path.clone(), folder: *node == Node::Folder }).collect())
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        let synced = self.0.borrow_mut().change(|disk| {
            if disk.seen.get(folder) != Some(&Node::Folder) && folder != Path::new("/") {
                return Err(io::ErrorKind::NotFound.into());
            }
            if !disk.broken.folder_sync_does_nothing {
                disk.keep_folder(folder);
            }
            Ok(())
        });
        // permission does not come and go: a folder that refuses it now would always have refused it
        synced.map_err(|why| {
            let refused = why.kind() == io::ErrorKind::PermissionDenied;
            if refused { io::Error::other("the folder could not be synced") } else { why }
        })
    }

    fn lock(&self, record: &Path) -> Result<FaultyLock, LockFault> {
        let mut disk = self.0.borrow_mut();
        disk.change(|disk| disk.folder_there(record)).map_err(LockFault::Io)?;
        if !disk.locks.insert(record.into()) {
            return Err(LockFault::Held { by: None });
        }
        Ok(FaultyLock { disk: self.clone(), path: record.into(), life: disk.life })
    }
}

impl FaultyFile {
    fn alive(&self) -> io::Result<()> {
        if self.disk.0.borrow().life == self.life { Ok(()) } else { Err(io::Error::other("a dead handle")) }
    }
}

impl StoredFile for FaultyFile {
    fn read(&mut self) -> io::Result<Vec<u8>> {
        self.alive()?;
        Ok(self.disk.0.borrow().contents[self.number].seen.clone())
    }

    fn write_at(&mut self, at: u64, bytes: &[u8]) -> io::Result<()> {
        self.alive()?;
        let mut disk = self.disk.0.borrow_mut();
        let at = usize::try_from(at).unwrap();
        let fate = disk.fate();
        let part = disk.dice.index(bytes.len() + 1);
        let always = disk.broken.always.is_some();
        match fate {
            Fate::Well => disk.contents[self.number].write(at, bytes),
            Fate::Fails(why) => {
                if !always && !disk.crashed {
                    disk.contents[self.number].write(at, &bytes[..part]);
                }
                return Err(why);
            }
            Fate::Crashes => {
                disk.contents[self.number].write(at, &bytes[..part]);
                disk.crash(false);
                disk.crashed = true;
                return Err(io::Error::other("the power went"));
            }
        }
        Ok(())
    }

    fn sync_data(&mut self) -> io::Result<()> {
        self.alive()?;
        let mut disk = self.disk.0.borrow_mut();
        if disk.broken.sync_does_nothing {
            return Ok(());
        }
        match disk.fate() {
            Fate::Well => disk.contents[self.number].keep(usize::MAX),
            Fate::Fails(why) => {
                // kept all the same, still to be kept, or forgotten though still seen
                match disk.dice.below(3) {
                    0 => disk.contents[self.number].keep(usize::MAX),
                    1 => {}
                    _ => disk.contents[self.number].dirty.fill(false),
                }
                return Err(why);
            }
            Fate::Crashes => {
                disk.crash(false);
                disk.crashed = true;
                return Err(io::Error::other("the power went"));
            }
        }
        Ok(())
    }

    fn set_len(&mut self, len: u64) -> io::Result<()> {
        self.alive()?;
        let len = usize::try_from(len).unwrap();
        let number = self.number;
        self.disk.0.borrow_mut().change(|disk| {
            let contents = &mut disk.contents[number];
            contents.seen.resize(len, 0);
            contents.dirty.resize(len, true);
            Ok(())
        })
    }
}
