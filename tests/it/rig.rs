//! What several modules of tests share.

/// Snapshot settings: top-level `snapshots/`, names as given.
pub(crate) fn snap() -> insta::Settings {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(concat!(env!("CARGO_MANIFEST_DIR"), "/snapshots"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings
}
