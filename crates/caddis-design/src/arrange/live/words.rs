//! What is broken, in the shop's words.

use super::{Breach, Broken};

fn mm(metres: f64) -> String {
    format!("{:.1} mm", metres * 1e3)
}

fn with_article(name: &str) -> String {
    if name.starts_with("the ") {
        name.to_owned()
    } else {
        format!("the {name}")
    }
}

fn broken(breach: Breach, with: &str, missing: f64, sentence: String) -> Broken {
    Broken {
        breach,
        with: with.to_owned(),
        missing,
        sentence,
    }
}

/// Foam towards a wall: `left` of it is there, `missing` more is needed.
pub(super) fn wall(name: &str, missing: f64, left: f64) -> Broken {
    if left < 0.0 {
        let sentence = format!("stands {} into the {name}", mm(-left));
        return broken(Breach::Collision, name, missing, sentence);
    }
    let sentence = format!(
        "cushion to the {name}: {} of {}, {} short",
        mm(left),
        mm(left + missing),
        mm(missing)
    );
    broken(Breach::Cushion, name, missing, sentence)
}

/// Foam towards a housing or a boss. A `left` without end is foam over it.
pub(super) fn hindrance(name: &str, missing: f64, left: f64, meets: bool) -> Broken {
    let named = with_article(name);
    if meets {
        let sentence = format!("stands {} into {named}", mm(-left));
        return broken(Breach::Collision, name, missing, sentence);
    }
    if left < 0.0 {
        let sentence = format!("does not come out upward: {named} is {} in the way", mm(-left));
        return broken(Breach::WayOut, name, missing, sentence);
    }
    if left.is_finite() {
        let sentence = format!(
            "cushion to {named}: {} of {}, {} short",
            mm(left),
            mm(left + missing),
            mm(missing)
        );
        return broken(Breach::Cushion, name, missing, sentence);
    }
    let sentence = format!(
        "foam over {named} is below its need; {} aside would do",
        mm(missing)
    );
    broken(Breach::Cushion, name, missing, sentence)
}

/// The web to a neighbour.
pub(super) fn neighbour(name: &str, missing: f64, left: f64, meets: bool) -> Broken {
    if meets {
        let sentence = format!("stands {} into {name}", mm(-left));
        return broken(Breach::Collision, name, missing, sentence);
    }
    if left < 0.0 {
        let sentence = format!("does not come out upward past {name}: {} in the way", mm(-left));
        return broken(Breach::WayOut, name, missing, sentence);
    }
    if left.is_finite() {
        let sentence = format!(
            "web to {name}: {} of {}, {} short",
            mm(left),
            mm(left + missing),
            mm(missing)
        );
        return broken(Breach::Web, name, missing, sentence);
    }
    let sentence = format!("foam between it and {name} below is {} short", mm(missing));
    broken(Breach::Web, name, missing, sentence)
}

/// Foam beneath.
pub(super) fn depth(floor: &str, left: f64, need: f64) -> Broken {
    let sentence = if left < 0.0 {
        format!("too deep: stands {} into {floor}", mm(-left))
    } else {
        format!(
            "cushion to {floor}: {} of {}, {} short",
            mm(left),
            mm(need),
            mm(need - left)
        )
    };
    broken(Breach::Depth, floor, need - left, sentence)
}

/// A way its item may not lie.
pub(super) fn way(name: &str, how: &str) -> Broken {
    let sentence = format!("{name} may not lie {how}");
    broken(Breach::Way, "the packing list", 1.0, sentence)
}
