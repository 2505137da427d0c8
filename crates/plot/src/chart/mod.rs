//! What every chart is drawn with.

pub(crate) mod canvas;
pub(crate) mod labels;
pub(crate) mod markup;
pub(crate) mod panel;
mod sheet;
pub(crate) mod thin;

pub(crate) use sheet::Caption;
pub use sheet::Chart;
