//! The whole-program tests: `suite/`, `oracle/` and the benchmarks live beside this file.
