//! The full screen: terminal guard, loop, keys, theme, views. Only this room knows the terminal.

pub mod keys;
pub mod theme;
pub mod ui;
pub mod view;
