//! Why a shape may not be the whole piece.

use caddis_basis::{Said, said};

/// A body of a file, as sentences call it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BodyNamed {
    /// Its number, from one.
    pub number: usize,
    /// Its own name; empty where it has none.
    pub name: String,
    /// The product it belongs to; empty where the file says none.
    pub product: String,
}

/// What a reader says of a shape that may not be the whole piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Doubt {
    /// A body that gave no triangles.
    EmptyBody(BodyNamed),
    /// Faces of a body that gave no triangles.
    LostFaces(u64, BodyNamed),
    /// A body that is no solid.
    LooseSurface(BodyNamed),
    /// Entities the STEP kernel complained of.
    Complaints(u64),
    /// Length units the file states, other than one.
    Units(usize),
    /// Separate pieces in a drawing.
    Pieces(usize),
    /// What in a drawing may be part of the outline and is not read: how many of which kind.
    Unread(Vec<(usize, String)>),
}

impl BodyNamed {
    /// In words.
    pub fn said(&self) -> Said {
        let Self {
            number,
            name,
            product,
        } = self;
        match (product.is_empty(), name.is_empty() || name == product) {
            (true, true) if name.is_empty() => said!("body {number}", number),
            (true, _) => said!("body {number} (`{name}`)", number, name),
            (false, true) => said!("body {number} (of `{product}`)", number, product),
            (false, false) => said!("body {number} (`{name}` of `{product}`)", number, name, product),
        }
    }

    fn texts(&self) -> [String; 3] {
        [self.number.to_string(), self.name.clone(), self.product.clone()]
    }

    fn of_texts([number, name, product]: &[String; 3]) -> Option<Self> {
        Some(Self {
            number: number.parse().ok()?,
            name: name.clone(),
            product: product.clone(),
        })
    }
}

impl Doubt {
    /// In words: a sentence without a full stop.
    pub fn said(&self) -> Said {
        match self {
            Self::EmptyBody(body) => said!(
                "{body} gave no triangles and is not in the shape",
                body = body.said()
            ),
            Self::LostFaces(faces, body) => {
                said!(
                    "{faces} faces of {body} gave no triangles",
                    faces,
                    body = body.said()
                )
            }
            Self::LooseSurface(body) => said!(
                "{body} is a loose surface, not a solid: its volume is not known",
                body = body.said()
            ),
            Self::Complaints(entities) => said!(
                "the STEP kernel complained of {entities} entities; parts may be missing, so compare its size with the real one",
                entities
            ),
            Self::Units(units) => said!(
                "it states {units} length units; its numbers are in millimetres by the STEP kernel, so compare its size with \
                 the real one",
                units
            ),
            Self::Pieces(pieces) => said!(
                "the drawing shows {pieces} separate pieces, taken as one; name a layer if only one of them is meant",
                pieces
            ),
            Self::Unread(kinds) => {
                let kinds = kinds
                    .iter()
                    .map(|(count, kind)| Said::name(format!("{count} {kind}")));
                said!(
                    "{kinds} in it may be part of the outline and cannot be read; draw it with lines, arcs or splines of \
                     control points",
                    kinds = Said::row(kinds, ", ")
                )
            }
        }
    }

    /// As a line of texts, the first its kind, from which [`Doubt::of_texts`] makes it again.
    pub fn texts(&self) -> Vec<String> {
        let line = |kind: &str, rest: &[String]| {
            let mut texts = vec![kind.to_owned()];
            texts.extend_from_slice(rest);
            texts
        };
        match self {
            Self::EmptyBody(body) => line("empty-body", &body.texts()),
            Self::LostFaces(faces, body) => {
                let [number, name, product] = body.texts();
                line("lost-faces", &[faces.to_string(), number, name, product])
            }
            Self::LooseSurface(body) => line("loose-surface", &body.texts()),
            Self::Complaints(entities) => line("complaints", &[entities.to_string()]),
            Self::Units(units) => line("units", &[units.to_string()]),
            Self::Pieces(pieces) => line("pieces", &[pieces.to_string()]),
            Self::Unread(kinds) => {
                let kinds: Vec<String> = kinds
                    .iter()
                    .flat_map(|(count, kind)| [count.to_string(), kind.clone()])
                    .collect();
                line("unread", &kinds)
            }
        }
    }

    /// From [`Doubt::texts`]; `None` of others.
    pub fn of_texts(texts: &[String]) -> Option<Self> {
        let (kind, rest) = texts.split_first()?;
        let body = || BodyNamed::of_texts(rest.try_into().ok()?);
        let count = || match rest {
            [count] => Some(count),
            _ => None,
        };
        Some(match kind.as_str() {
            "empty-body" => Self::EmptyBody(body()?),
            "lost-faces" => {
                let (faces, body) = rest.split_first()?;
                Self::LostFaces(faces.parse().ok()?, BodyNamed::of_texts(body.try_into().ok()?)?)
            }
            "loose-surface" => Self::LooseSurface(body()?),
            "complaints" => Self::Complaints(count()?.parse().ok()?),
            "units" => Self::Units(count()?.parse().ok()?),
            "pieces" => Self::Pieces(count()?.parse().ok()?),
            "unread" => Self::Unread(
                rest.chunks(2)
                    .map(|pair| match pair {
                        [count, kind] => Some((count.parse().ok()?, kind.clone())),
                        _ => None,
                    })
                    .collect::<Option<_>>()?,
            ),
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_doubt_comes_back_from_its_texts() {
        let body = BodyNamed {
            number: 2,
            name: "lug".to_owned(),
            product: "mast, \"foot\"".to_owned(),
        };
        let all = [
            Doubt::EmptyBody(body.clone()),
            Doubt::LostFaces(3, body.clone()),
            Doubt::LooseSurface(body),
            Doubt::Complaints(4),
            Doubt::Units(0),
            Doubt::Pieces(5),
            Doubt::Unread(vec![(1, "SPLINE".to_owned()), (2, "<text>".to_owned())]),
        ];
        for doubt in all {
            let texts = doubt.texts();
            assert_eq!(Doubt::of_texts(&texts), Some(doubt));
            assert_eq!(Doubt::of_texts(&texts[1..]), None);
            assert_eq!(Doubt::of_texts(&texts[..texts.len() - 1]), None, "{texts:?}");
        }
        assert_eq!(
            Doubt::Unread(vec![(1, "SPLINE".to_owned()), (2, "ELLIPSE".to_owned())]).said(),
            "1 SPLINE, 2 ELLIPSE in it may be part of the outline and cannot be read; draw it with lines, arcs or splines of \
             control points"
        );
    }
}
