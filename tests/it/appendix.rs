//! The appendix: what stands on its pages, line by line.

use crate::rig::snap;
use crate::scripted::{Script, closed};
use witnessmark::appendix::{Options, print};

fn text(script: &Script) -> String {
    print(&script.visit, Options::default())
}

fn snapshot(name: &str, text: &str) {
    snap().bind(|| insta::assert_snapshot!(name, text));
}

#[test]
fn a_good_closed_visit() {
    snapshot("appendix__good_closed", &text(&closed(Script::new())));
}
