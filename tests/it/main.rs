//! The one integration test binary.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::wildcard_enum_match_arm,
    clippy::disallowed_methods,
    clippy::string_slice,
    reason = "a test that cannot go on should stop; the tests allowance misses helpers outside test functions"
)]

mod acts;
mod amending;
mod appendix;
mod as_it_goes;
mod audit;
mod audit_ends;
mod audit_moves;
mod audit_screens;
mod board_errors;
mod boards;
mod broken;
mod cli;
mod desk;
mod facts;
mod faulty;
mod fit;
mod frozen;
mod frozen_doc;
mod goes_on;
mod hands;
mod journal;
mod journal_faults;
mod journal_places;
mod keys;
mod kills;
mod look_back;
mod mended;
mod mischief;
mod moves;
mod naive;
mod naive_audit;
mod naive_verdict;
mod office;
mod office_pty;
mod office_tools;
mod pack;
mod papers;
mod plain;
mod program;
mod properties;
mod pty;
mod pty_coming_back;
mod reckoned_visit;
mod reckoning;
mod reference;
mod revisit;
mod revisit_changed;
mod revisit_moves;
mod revisit_program;
mod revisit_rules;
mod revisit_screens;
mod rig;
mod screens;
mod scripted;
mod setting;
mod settle;
mod stories;
mod talk;
mod talks;
mod tidy;
mod toolbox;
mod tools_disk;
mod tools_file;
mod trade_facts;
mod troubles;
mod tui_loop;
mod walk;
