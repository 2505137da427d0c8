//! Prints the cases of `tests/oracle` for the independent solver.

fn main() {
    print!("{}", bitepoint_checks::oracle::cases_json());
}
