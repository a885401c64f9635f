//! What many threads hold in turn, and bytes as figures.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// A panic while it was held leaves what it guards as sound as any other moment does:
/// every change of the book is a transaction.
pub(super) fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Bytes as hexadecimal figures.
pub(super) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
