//! The most memory that this process has held, as Linux counts it.

use std::fs;

/// Begins to count the peak anew, where the system lets us.
pub fn forget_peak() {
    // Elsewhere than on Linux there is no such file, and no peak is shown.
    let _ = fs::write("/proc/self/clear_refs", "5");
}

/// The peak of resident memory in kilobytes since [`forget_peak`].
pub fn peak() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix("kB")?.trim().parse().ok()
}
