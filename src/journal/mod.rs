//! The record on the disk: one fact a line, linked, durable before it is called recorded.
//!
//! Invariants: nothing is said to be recorded before it is appended and synced; what was confirmed once is never
//! changed; a file is read as it stands or refused with the line that is wrong, and never mended by guessing. The
//! chain finds accident and careless editing; whoever works it out anew is found only by the printed closing link
//! or a signature. Deliberately absent: what the facts mean (see [`crate::session`]), any clock, and any look at
//! the environment.

pub mod archive;
pub mod damage;
pub mod error;
pub mod intact;
pub mod line;
pub mod lock;
pub mod names;
pub mod read;
pub mod resume;
pub mod storage;
pub mod writer;

pub use damage::{Damage, DamageKind};
pub use error::{ReadError, ReadFault, ResumeError, StoreError, StoreFault, Trouble};
pub use line::Link;
pub use read::{End, Record, read};
pub use resume::resume;
pub use storage::{RealStorage, Storage, StoredFile};
pub use writer::Journal;
