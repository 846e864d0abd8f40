//! What a job takes off its shell.

use crate::document::one_of;
use crate::error::Fault;
use caddis_survey::Shell;

/// Names the removable intrusions of both halves that a job takes off.
pub(crate) fn remove_intrusions(shell: &mut Shell, names: &[String], path: &str) -> Result<(), Fault> {
    for (index, name) in names.iter().enumerate() {
        let field = format!("{path}[{index}]");
        let mut known = Vec::new();
        let mut found = false;
        for intrusion in shell.base.intrusions.iter_mut().chain(&mut shell.lid.intrusions) {
            if intrusion.removable {
                known.push(intrusion.name.clone());
            }
            if intrusion.name == *name {
                if !intrusion.removable {
                    return Err(Fault::new(field, format!("`{name}` cannot be removed"))
                        .hint("only what the shell's survey marks `removable = true` can be taken off"));
                }
                intrusion.removed = true;
                found = true;
            }
        }
        if !found {
            let known: Vec<&str> = known.iter().map(String::as_str).collect();
            return Err(
                Fault::new(field, format!("`{name}` is no intrusion of this shell"))
                    .hint(one_of(name, &known)),
            );
        }
    }
    Ok(())
}
