//! Which column holds what, by the words of its header.

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Name,
    Quantity,
    Length,
    Width,
    Height,
    Diameter,
    Size,
    Mass,
    TotalMass,
    Fragility,
    Note,
}

/// Wordings, lower case without marks; the whole header must be one of them once its unit is taken away.
const WORDINGS: [(Kind, &str, &[&str]); 11] = [
    (
        Kind::Name,
        "name",
        &[
            "item",
            "name",
            "description",
            "equipment",
            "article",
            "product",
            "part",
            "item name",
            "part name",
            "item description",
            "device",
            "component",
            "contents",
            "bezeichnung",
            "beschreibung",
            "artikel",
            "gerat",
            "gegenstand",
            "designation",
            "objet",
        ],
    ),
    (
        Kind::Quantity,
        "quantity",
        &[
            "qty",
            "quantity",
            "count",
            "pcs",
            "pieces",
            "number",
            "no of pieces",
            "units",
            "amount",
            "anzahl",
            "menge",
            "stuck",
            "stk",
            "quantite",
        ],
    ),
    (
        Kind::Length,
        "length",
        &[
            "length", "l", "len", "long", "depth", "d", "lange", "tiefe", "longueur",
        ],
    ),
    (
        Kind::Width,
        "width",
        &["width", "w", "wide", "breite", "b", "largeur"],
    ),
    (
        Kind::Height,
        "height",
        &["height", "h", "high", "thickness", "hohe", "hauteur"],
    ),
    (
        Kind::Diameter,
        "diameter",
        &[
            "diameter",
            "dia",
            "diam",
            "o",
            "od",
            "outside diameter",
            "durchmesser",
            "diametre",
        ],
    ),
    (
        Kind::Size,
        "size",
        &[
            "size",
            "dimensions",
            "dims",
            "dimension",
            "l x w x h",
            "lxwxh",
            "length x width x height",
            "outside size",
            "abmessungen",
            "masse lxbxh",
            "l x b x h",
            "lxbxh",
        ],
    ),
    (
        Kind::Mass,
        "mass of one",
        &[
            "mass",
            "weight",
            "wt",
            "unit weight",
            "unit mass",
            "weight each",
            "mass each",
            "weight per piece",
            "net weight",
            "gewicht",
            "stuckgewicht",
            "masse",
            "poids",
        ],
    ),
    (
        Kind::TotalMass,
        "mass of all",
        &[
            "total weight",
            "total mass",
            "weight total",
            "mass total",
            "gesamtgewicht",
            "poids total",
        ],
    ),
    (
        Kind::Fragility,
        "fragility",
        &[
            "fragility",
            "max g",
            "g limit",
            "shock limit",
            "g",
            "allowed shock",
            "max shock",
        ],
    ),
    (
        Kind::Note,
        "note",
        &[
            "note",
            "notes",
            "remark",
            "remarks",
            "comment",
            "comments",
            "serial",
            "serial no",
            "serial number",
            "sn",
            "bemerkung",
            "seriennummer",
            "remarque",
        ],
    ),
];

/// One understood column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Column {
    pub(super) at: usize,
    pub(super) kind: Kind,
    pub(super) header: String,
    /// The unit in the header.
    pub(super) unit: Option<&'static str>,
}

/// All understood columns of a header row.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Columns(Vec<Column>);

impl Columns {
    pub(super) fn of(cells: &[String]) -> Self {
        let mut columns: Vec<Column> = Vec::new();
        for (at, header) in cells.iter().enumerate() {
            let Some((kind, unit)) = kind_of(header) else {
                continue;
            };
            // The first of a kind counts; remarks may stand in several.
            if kind == Kind::Note || columns.iter().all(|column| column.kind != kind) {
                columns.push(Column {
                    at,
                    kind,
                    header: header.trim().to_owned(),
                    unit,
                });
            }
        }
        Self(columns)
    }

    pub(super) fn count(&self) -> usize {
        self.0.len()
    }

    /// What the headers tell: columns, and beside them how many state their unit.
    pub(super) fn told(&self) -> (usize, usize) {
        let units = self.0.iter().filter(|column| column.unit.is_some()).count();
        (self.count(), units)
    }

    pub(super) fn is_enough(&self) -> bool {
        let has = |kind: Kind| self.get(kind).is_some();
        let size = has(Kind::Size)
            || (has(Kind::Height) && (has(Kind::Diameter) || (has(Kind::Length) && has(Kind::Width))));
        has(Kind::Name) && size && (has(Kind::Mass) || has(Kind::TotalMass))
    }

    pub(super) fn get(&self, kind: Kind) -> Option<&Column> {
        self.0.iter().find(|column| column.kind == kind)
    }

    pub(super) fn all(&self, kind: Kind) -> impl Iterator<Item = &Column> {
        self.0.iter().filter(move |column| column.kind == kind)
    }

    /// Each header and what it was taken for.
    pub(super) fn shown(&self, cells: &[String]) -> Vec<(String, Option<&'static str>)> {
        cells
            .iter()
            .enumerate()
            .map(|(at, header)| {
                let taken = self.0.iter().find(|column| column.at == at).and_then(|column| {
                    WORDINGS
                        .iter()
                        .find(|(kind, ..)| *kind == column.kind)
                        .map(|(_, word, _)| *word)
                });
                (header.trim().to_owned(), taken)
            })
            .collect()
    }
}

fn kind_of(header: &str) -> Option<(Kind, Option<&'static str>)> {
    let words = plain(header);
    let find = |text: &str| {
        WORDINGS
            .iter()
            .find(|(_, _, all)| all.contains(&text))
            .map(|(kind, ..)| *kind)
    };
    if let Some(kind) = find(&words) {
        return Some((kind, None));
    }
    // `length mm`: the last word is the unit.
    let (rest, last) = words.rsplit_once(' ')?;
    let unit = unit_of(last)?;
    find(rest.trim_end_matches(" in").trim()).map(|kind| (kind, Some(unit)))
}

/// Lower case letters and digits, single blanks, accents taken away.
fn plain(text: &str) -> String {
    let mut plain = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        let c = match c {
            'ä' | 'á' | 'à' | 'â' => 'a',
            'ö' | 'ó' | 'ô' | 'ø' => 'o',
            'ü' | 'ú' | 'û' => 'u',
            'é' | 'è' | 'ê' => 'e',
            '×' | '*' => 'x',
            c => c,
        };
        if c.is_alphanumeric() {
            plain.push(c);
        } else if !plain.is_empty() && !plain.ends_with(' ') {
            plain.push(' ');
        }
    }
    plain.trim_end().to_owned()
}

/// A unit in any of its usual spellings, as the quantities of this program know it.
pub(super) fn unit_of(text: &str) -> Option<&'static str> {
    let text = text.trim().trim_end_matches('.').to_lowercase();
    Some(match text.as_str() {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => "mm",
        "cm" | "cms" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => "cm",
        "m" | "metre" | "metres" | "meter" | "meters" => "m",
        "in" | "inch" | "inches" | "\"" | "”" | "″" | "zoll" => "in",
        "kg" | "kgs" | "kilo" | "kilos" | "kilogram" | "kilograms" => "kg",
        "g" | "gr" | "gram" | "grams" => "g",
        "lb" | "lbs" | "pound" | "pounds" => "lb",
        "oz" | "ounce" | "ounces" => "oz",
        _ => return None,
    })
}
