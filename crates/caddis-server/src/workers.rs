//! Independent tasks on as many threads as the machine has, their results in the order of the tasks.

use std::sync::Mutex;
use std::thread;

/// One task.
pub(crate) type Task<'a, T> = Box<dyn FnOnce() -> T + Send + 'a>;

/// Runs every task once; a task that panics panics the caller.
pub(crate) fn in_order<T: Send>(tasks: Vec<Task<'_, T>>) -> Vec<T> {
    let threads = thread::available_parallelism()
        .map_or(1, std::num::NonZero::get)
        .min(tasks.len());
    let waiting = Mutex::new(tasks.into_iter().enumerate());
    let mut done: Vec<(usize, T)> = thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|_| {
                scope.spawn(|| {
                    let mut mine = Vec::new();
                    loop {
                        // The lock is held for no longer than it takes to pick a task.
                        let next = match waiting.lock() {
                            Ok(mut tasks) => tasks.next(),
                            Err(_) => None,
                        };
                        let Some((index, task)) = next else { break };
                        mine.push((index, task()));
                    }
                    mine
                })
            })
            .collect();
        workers
            .into_iter()
            .flat_map(|worker| match worker.join() {
                Ok(mine) => mine,
                Err(panic) => std::panic::resume_unwind(panic),
            })
            .collect()
    });
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_of_the_tasks() {
        let tasks: Vec<Task<'_, u64>> = (0..40_u64)
            .map(|number| {
                let task: Task<'_, u64> = Box::new(move || {
                    // The first take longest.
                    (0..(40 - number) * 10_000).fold(number, |sum, k| sum ^ (k & 1) ^ (k & 1))
                });
                task
            })
            .collect();
        assert_eq!(in_order(tasks), (0..40).collect::<Vec<_>>());
        assert!(in_order(Vec::<Task<'_, u8>>::new()).is_empty());
    }
}
