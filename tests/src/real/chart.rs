//! Charts for the page on real cars, by `plotters`, in the house's inks.
