//! What every page is made of.

pub(crate) mod parts;
mod shell;

pub(crate) use shell::{Page, report_files};
