//! What a page needs to run the model: room for texts, and one call that turns them into numbers.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;

// By its path, since the rest of that crate is not for this target.
#[path = "../../src/gate_bits.rs"]
mod gate_bits;

/// Room for `length` bytes, aligned for doubles, for the caller to fill or read; never freed.
#[unsafe(no_mangle)]
pub extern "C" fn reserve(length: usize) -> *mut u8 {
    vec![0_u64; length.div_ceil(8)].leak().as_mut_ptr().cast()
}

/// Runs a car under a scenario and writes the bits of its numbers, 64 each, to `out`, in the order of the native example.
/// Gives how many; or, if there is no run, less than zero: the length of a message in UTF-8 that stands in `out` instead.
/// `texts` holds the vehicle file, the scenario file and the slope profile one after the other, their lengths in bytes; the
/// profile's is zero if the scenario names none.
///
/// # Safety
/// `texts` can be read for the three lengths together; `out` comes from `reserve` and has room for `room` bytes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn run(
    texts: *const u8,
    vehicle_length: usize,
    scenario_length: usize,
    profile_length: usize,
    out: *mut u8,
    room: usize,
) -> isize {
    // SAFETY: as the caller promises.
    let (texts, out) = unsafe {
        (
            core::slice::from_raw_parts(texts, vehicle_length + scenario_length + profile_length),
            core::slice::from_raw_parts_mut(out, room),
        )
    };
    let (vehicle, rest) = texts.split_at(vehicle_length);
    let (scenario, profile) = rest.split_at(scenario_length);
    match numbers(vehicle, scenario, profile) {
        Ok(bytes) if bytes.len() <= room => {
            out[..bytes.len()].copy_from_slice(&bytes);
            (bytes.len() / 8) as isize
        }
        Ok(bytes) => refuse(&format!("the numbers need {} bytes of room", bytes.len()), out),
        Err(message) => refuse(&message, out),
    }
}

fn numbers(vehicle: &[u8], scenario: &[u8], profile: &[u8]) -> Result<Vec<u8>, String> {
    let text = |bytes| core::str::from_utf8(bytes).map_err(|error| error.to_string());
    let vehicle = VehicleFile::parse("vehicle.toml", text(vehicle)?).map_err(|problems| problems.to_string())?;
    let profile = text(profile)?;
    let scenario = ScenarioFile::parse("scenario.toml", text(scenario)?, &|_| Ok(profile.to_owned()))
        .map_err(|problems| problems.to_string())?;
    let numbers = gate_bits::gate_bits(&vehicle, &scenario)?;
    Ok(numbers.iter().flat_map(|(_, bits)| bits.to_le_bytes()).collect())
}

fn refuse(message: &str, out: &mut [u8]) -> isize {
    let length = message.len().min(out.len());
    out[..length].copy_from_slice(&message.as_bytes()[..length]);
    -(length as isize)
}
