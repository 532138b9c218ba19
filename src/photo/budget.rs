//! Memory that several threads share: who wants more than is left waits.

use std::sync::{Condvar, Mutex, PoisonError};

/// So many bytes, handed out in shares.
#[derive(Debug)]
pub struct Budget {
    whole: u64,
    taken: Mutex<u64>,
    freed: Condvar,
}

/// A share; dropping it gives it back.
#[derive(Debug)]
pub struct Share<'a> {
    budget: &'a Budget,
    bytes: u64,
}

impl Budget {
    /// A budget of which nothing is taken.
    #[must_use]
    pub const fn new(whole: u64) -> Budget {
        Budget {
            whole,
            taken: Mutex::new(0),
            freed: Condvar::new(),
        }
    }

    /// Waits until so many bytes are left, and takes them. More than the whole
    /// is the whole, so nobody waits for ever; whoever holds a share must not
    /// ask for another.
    #[must_use]
    pub fn take(&self, bytes: u64) -> Share<'_> {
        let bytes = bytes.min(self.whole);
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        while self.whole - *taken < bytes {
            taken = self
                .freed
                .wait(taken)
                .unwrap_or_else(PoisonError::into_inner);
        }
        *taken += bytes;
        Share {
            budget: self,
            bytes,
        }
    }
}

impl Share<'_> {
    /// How many bytes it is.
    #[must_use]
    pub fn bytes(&self) -> u64 {
        self.bytes
    }
}

impl Drop for Share<'_> {
    fn drop(&mut self) {
        let mut taken = self
            .budget
            .taken
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        *taken -= self.bytes;
        self.budget.freed.notify_all();
    }
}
