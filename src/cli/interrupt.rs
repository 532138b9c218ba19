//! An interruption by the user: what was reached so far is shown.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

/// The status of a process that an interruption ended.
const INTERRUPTED: i32 = 130;

/// A flag that is set when the user interrupts. Who interrupts once more, with
/// the flag still set, means it.
pub fn interruption() -> Arc<AtomicBool> {
    static FLAG: OnceLock<Arc<AtomicBool>> = OnceLock::new();
    let flag = FLAG.get_or_init(|| {
        let flag = Arc::new(AtomicBool::new(false));
        let set = Arc::clone(&flag);
        // Where no handler can be had the process simply ends, as before.
        let _ = ctrlc::set_handler(move || {
            if set.swap(true, Ordering::Relaxed) {
                std::process::exit(INTERRUPTED);
            }
        });
        flag
    });
    flag.store(false, Ordering::Relaxed);
    Arc::clone(flag)
}
