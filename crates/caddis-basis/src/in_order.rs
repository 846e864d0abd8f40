//! Work shared out over threads, its answers in order.

/// Calls for 0 to `count`, on up to `threads` threads (at least one), the answers in order whatever their number.
///
/// Every thread takes every n-th call, so that all have an even share of the costly ones. A call that panics ends the whole.
pub fn in_order<T: Send>(count: usize, threads: usize, call: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let threads = threads.clamp(1, count.max(1));
    if threads == 1 {
        return (0..count).map(call).collect();
    }
    let mut parts: Vec<std::vec::IntoIter<T>> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..threads)
            .map(|k| {
                let call = &call;
                scope.spawn(move || (k..count).step_by(threads).map(call).collect::<Vec<T>>())
            })
            .collect();
        handles
            .into_iter()
            .map(|handle| match handle.join() {
                Ok(part) => part.into_iter(),
                Err(panic) => std::panic::resume_unwind(panic),
            })
            .collect()
    });
    (0..count).filter_map(|i| parts[i % threads].next()).collect()
}

/// Both answers, the calls run beside each other where there is more than one thread. A call that panics ends the whole.
pub fn both<A: Send, B>(threads: usize, one: impl FnOnce() -> A + Send, other: impl FnOnce() -> B) -> (A, B) {
    if threads < 2 {
        return (one(), other());
    }
    std::thread::scope(|scope| {
        let handle = scope.spawn(one);
        let second = other();
        match handle.join() {
            Ok(first) => (first, second),
            Err(panic) => std::panic::resume_unwind(panic),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_answer_on_one_thread_or_two() {
        for threads in [0, 1, 2] {
            assert_eq!(both(threads, || 1, || "two"), (1, "two"));
        }
    }

    #[test]
    fn answers_stand_in_order_whatever_the_threads() {
        for count in [0, 1, 2, 7] {
            let wanted: Vec<usize> = (0..count).map(|i| i * i).collect();
            for threads in [0, 1, 2, 3, 16] {
                assert_eq!(in_order(count, threads, |i| i * i), wanted);
            }
        }
    }
}
