//! Where everything lies, as it is kept from one session to the next: `places.json`.

use crate::error::FileError;
use caddis_basis::{InstanceId, ItemId};
use caddis_design::{Arrangement, SpaceSpot, Spot};
use caddis_geometry::Vec2;
use caddis_survey::{Turn, Up};
use serde::{Deserialize, Serialize};

/// Name of the file in a revision.
pub const PLACES: &str = "places.json";
/// Second: turns in degrees.
const SCHEMA: u32 = 2;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PlacesFile {
    schema: u32,
    boundary_m: f64,
    places: Vec<PlaceFile>,
    spaces: Vec<SpaceFile>,
    rounds: u32,
    seed: u64,
    steps: u64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    not_on_top: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PlaceFile {
    item: String,
    number: u32,
    up: String,
    turn_deg: u16,
    tier: usize,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    in_lid: bool,
    at_m: [f64; 2],
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SpaceFile {
    name: String,
    is_turned: bool,
    tier: usize,
    at_m: [f64; 2],
}

/// An arrangement as text; the same arrangement gives the same bytes.
///
/// # Errors
/// A number JSON cannot hold.
pub fn write_places(arrangement: &Arrangement) -> Result<String, String> {
    let file = PlacesFile {
        schema: SCHEMA,
        boundary_m: arrangement.boundary,
        places: arrangement
            .spots
            .iter()
            .map(|(piece, spot)| PlaceFile {
                item: piece.item.to_string(),
                number: piece.number,
                up: spot.up.as_str().to_owned(),
                turn_deg: spot.turn.as_degrees(),
                tier: spot.tier,
                in_lid: spot.in_lid,
                at_m: [spot.at.x, spot.at.y],
            })
            .collect(),
        spaces: arrangement
            .spaces
            .iter()
            .map(|space| SpaceFile {
                name: space.name.clone(),
                is_turned: space.is_turned,
                tier: space.tier,
                at_m: [space.at.x, space.at.y],
            })
            .collect(),
        rounds: arrangement.rounds,
        seed: arrangement.seed,
        steps: arrangement.steps,
        not_on_top: arrangement.not_on_top.as_ref().map(ToString::to_string),
    };
    let mut text = serde_json::to_string_pretty(&file).map_err(|error| error.to_string())?;
    text.push('\n');
    Ok(text)
}

/// An arrangement read back.
///
/// # Errors
/// Not JSON, an unknown key, a newer schema, a way up or a number that is none.
pub fn read_places(bytes: &[u8]) -> Result<Arrangement, FileError> {
    let refuse = |problem: String| {
        FileError::content(
            PLACES,
            problem,
            Some("arrange again: the file is made anew".to_owned()),
        )
    };
    let file: PlacesFile = serde_json::from_slice(bytes).map_err(|error| refuse(error.to_string()))?;
    if file.schema != SCHEMA {
        return Err(refuse(format!(
            "schema {} is not known to this version",
            file.schema
        )));
    }
    let at = |at: [f64; 2]| Vec2::new(at[0], at[1]);
    let spots = file
        .places
        .iter()
        .map(|place| {
            let up = Up::parse(&place.up).ok_or_else(|| refuse(format!("`{}` is no way up", place.up)))?;
            let spot = Spot {
                up,
                turn: Turn::degrees(place.turn_deg),
                at: at(place.at_m),
                tier: place.tier,
                in_lid: place.in_lid,
            };
            Ok((InstanceId::new(ItemId::new(&place.item), place.number), spot))
        })
        .collect::<Result<_, FileError>>()?;
    Ok(Arrangement {
        boundary: file.boundary_m,
        spots,
        spaces: file
            .spaces
            .into_iter()
            .map(|space| SpaceSpot {
                at: at(space.at_m),
                name: space.name,
                is_turned: space.is_turned,
                tier: space.tier,
            })
            .collect(),
        rounds: file.rounds,
        seed: file.seed,
        steps: file.steps,
        not_on_top: file.not_on_top.map(caddis_basis::Said::name),
    })
}

#[cfg(test)]
mod tests {
    use super::{read_places, write_places};
    use caddis_basis::{InstanceId, ItemId};
    use caddis_design::{Arrangement, SpaceSpot, Spot};
    use caddis_geometry::Vec2;
    use caddis_survey::{Turn, Up};

    #[test]
    fn an_arrangement_survives_to_the_last_bit() {
        let spot = Spot {
            up: Up::MinusX,
            turn: Turn::degrees(285),
            at: Vec2::new(0.1 + 0.2, -1.0 / 3.0),
            tier: 1,
            in_lid: false,
        };
        let before = Arrangement {
            boundary: 0.123_456_789,
            spots: vec![(InstanceId::new(ItemId::new("probe"), 2), spot)],
            spaces: vec![SpaceSpot {
                name: "second battery".to_owned(),
                at: Vec2::new(0.01, 0.0),
                is_turned: true,
                tier: 0,
            }],
            rounds: 2,
            seed: u64::from(u32::MAX),
            steps: 1_000_000,
            not_on_top: Some(caddis_basis::Said::name("no room")),
        };
        let text = write_places(&before);
        assert!(text.is_ok());
        let again = read_places(text.unwrap_or_default().as_bytes());
        assert!(again.is_ok_and(|again| again == before));
    }

    #[test]
    fn what_is_no_arrangement_is_refused_in_words() {
        for bytes in [&b""[..], b"{}", b"{\"schema\":9}", b"[1,2"] {
            assert!(read_places(bytes).is_err_and(|error| error.hint().is_some()));
        }
    }
}
