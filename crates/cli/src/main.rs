//! The `bitepoint` command.

fn main() {}
