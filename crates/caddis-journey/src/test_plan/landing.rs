//! How a case lands: on a face, an edge, a corner.

use crate::JourneyError;
use caddis_basis::Said;
use std::fmt;

/// A face of the closed case as it lies on its base; the hinge is at the back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CaseFace {
    /// On the base.
    Base,
    /// On the lid.
    Lid,
    /// On the left end (-x).
    Left,
    /// On the right end (+x).
    Right,
    /// On the front (-y), where the latches are.
    Front,
    /// On the back (+y), where the hinge is.
    Back,
}

impl CaseFace {
    /// Every face, in the order tests take them.
    pub const ALL: [Self; 6] = [
        Self::Base,
        Self::Lid,
        Self::Left,
        Self::Right,
        Self::Front,
        Self::Back,
    ];

    /// The word on papers and in results files.
    pub fn words(self) -> &'static str {
        match self {
            Self::Base => "base",
            Self::Lid => "lid",
            Self::Left => "left",
            Self::Right => "right",
            Self::Front => "front",
            Self::Back => "back",
        }
    }
}

/// How the case lands: on a face, on the edge of two, on the corner of three.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Landing(pub(super) Vec<CaseFace>);

impl Landing {
    /// On one face.
    pub fn on(face: CaseFace) -> Self {
        Self(vec![face])
    }

    /// Reads `base`, `base-front`, `base-front-left`, the faces in any order.
    ///
    /// # Errors
    /// A face that is none, one named twice, two that lie opposite each other, more than three.
    pub fn parse(text: &str) -> Result<Self, JourneyError> {
        let wrong = || JourneyError::Landing {
            text: text.trim().to_owned(),
        };
        let mut faces = text
            .trim()
            .split('-')
            .map(|word| {
                CaseFace::ALL
                    .into_iter()
                    .find(|face| face.words() == word)
                    .ok_or_else(wrong)
            })
            .collect::<Result<Vec<_>, _>>()?;
        faces.sort();
        // Base and lid, left and right, front and back: at most one of each pair.
        let pair = |face: &CaseFace| *face as u8 / 2;
        let apart = faces.windows(2).all(|two| pair(&two[0]) != pair(&two[1]));
        if faces.len() > 3 || !apart {
            return Err(wrong());
        }
        Ok(Self(faces))
    }

    /// The faces that meet where it lands: one, two or three.
    pub fn faces(&self) -> &[CaseFace] {
        &self.0
    }

    /// The face when it lands on one.
    pub fn face(&self) -> Option<CaseFace> {
        match self.0[..] {
            [face] => Some(face),
            _ => None,
        }
    }

    /// The same for a sentence.
    pub fn said(&self) -> Said {
        Said::row(self.0.iter().map(|face| Said::one_of("face", face.words())), "-")
    }

    /// All edges and corners.
    pub fn edges_and_corners() -> Vec<Self> {
        let mut all = Self::all(2);
        all.extend(Self::all(3));
        all
    }

    /// Six faces, twelve edges or eight corners, by how many faces meet.
    pub(super) fn all(faces: usize) -> Vec<Self> {
        let pairs = [
            [CaseFace::Base, CaseFace::Lid],
            [CaseFace::Left, CaseFace::Right],
            [CaseFace::Front, CaseFace::Back],
        ];
        match faces {
            1 => CaseFace::ALL.map(Self::on).to_vec(),
            2 => [(0, 1), (0, 2), (1, 2)]
                .into_iter()
                .flat_map(|(a, b)| {
                    pairs[a]
                        .into_iter()
                        .flat_map(move |x| pairs[b].into_iter().map(move |y| Self(vec![x, y])))
                })
                .collect(),
            _ => pairs[0]
                .into_iter()
                .flat_map(|x| {
                    pairs[1]
                        .into_iter()
                        .flat_map(move |y| pairs[2].into_iter().map(move |z| Self(vec![x, y, z])))
                })
                .collect(),
        }
    }
}

impl fmt::Display for Landing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<&str> = self.0.iter().map(|face| face.words()).collect();
        f.write_str(&words.join("-"))
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn landings_are_read_in_any_order_or_refused() {
        for text in ["base", "base-front", "left-base-front"] {
            let landing = Landing::parse(text).unwrap();
            assert_eq!(Landing::parse(&landing.to_string()).unwrap(), landing);
        }
        for bad in [
            "",
            "top",
            "base-lid",
            "base-base",
            "left-right-base",
            "base-left-front-back",
        ] {
            assert!(Landing::parse(bad).is_err(), "{bad}");
        }
    }
}
