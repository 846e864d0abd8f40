//! Caddis on the command line.
//!
//! Data goes to standard output, words to standard error; progress only on a terminal. Exit codes stand in
//! [`arguments`].
#![expect(clippy::print_stderr, reason = "words for the person go to standard error")]

mod arguments;
mod command;
mod failure;
mod library_folder;
mod out_folder;
mod shape_child;
mod stages;
mod terminal;
mod words;
mod workbook_child;

use arguments::{Arguments, Command, FoamCommand};
use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are answers, everything else is wrong use.
            let code = if error.use_stderr() {
                failure::WRONG_USE
            } else {
                failure::DONE
            };
            let _ = error.print();
            return ExitCode::from(code);
        }
    };
    let outcome = match &arguments.command {
        Command::New {
            dir,
            template,
            library,
        } => command::new::run(dir, template.as_deref(), library),
        Command::Survey(options) => command::survey::run(options),
        Command::Contents(options) => command::contents::run(options),
        Command::Budget(options) => command::budget::run(options),
        Command::Select(options) => command::select::run(options),
        Command::Arrange(options) => command::job::run(options, command::job::Until::Arrange, None),
        Command::Verify { options, results } => {
            command::job::run(options, command::job::Until::Verify, results.as_deref())
        }
        Command::Make(options) => command::job::run(options, command::job::Until::Make, None),
        Command::Present(options) => command::job::run(options, command::job::Until::Present, None),
        Command::Run(options) => command::job::run(options, command::job::Until::Run, None),
        Command::Foam(FoamCommand::Fit(options)) => command::foam::fit(options),
        Command::Serve(options) => command::serve::run(options),
        Command::Interface => command::serve::interface(),
        Command::ReadWorkbook => return workbook_child::serve(),
        Command::ReadShape { name, unit, profile } => {
            return shape_child::serve(name, unit.as_deref(), profile.as_deref());
        }
    };
    match outcome {
        Ok(code) => ExitCode::from(code),
        Err(failure) => failure.report(),
    }
}
