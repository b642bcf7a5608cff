//! The JSON Schema of the machine file, made from the table of [`limits`](super::limits).

use serde_json::{Map, Value, json};

use super::limits::{FILE, Field, Kind, Need, Range, Section, VERSION};
use quantity::{Dimension, Unit};

/// JSON Schema (draft 2020-12) of the machine file, for editors that complete and check while one types.
///
/// It knows keys, kinds of values, words and counts. It does not read units or limits inside readings, nor set readings
/// against each other: [`read`](super::read) does. A test keeps `docs/machine.schema.json` equal to it.
pub fn schema() -> Value {
    let mut schema = section(&FILE);
    let root = schema.as_object_mut().expect("a section is an object");
    root.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    root.insert("title".into(), json!(format!("Tickover machine file, version {VERSION}")));
    root.insert(
        "$defs".into(),
        json!({
            "reading": {
                "oneOf": [
                    { "type": "string" },
                    {
                        "type": "object",
                        "properties": {
                            "value": { "type": ["string", "number"] },
                            "with": { "type": "string", "description": "What it was measured with" },
                            "from": { "enum": ["maker", "estimate"], "description": "Where it comes from if not measured" },
                        },
                        "required": ["value"],
                        "additionalProperties": false,
                        "not": { "required": ["with", "from"] },
                    },
                ],
            },
        }),
    );
    schema
}

/// Limits as people write them: "20 to 150 mm".
fn limits(range: &Range) -> String {
    let space = if matches!(range.unit, Unit::One) || range.unit.symbol().starts_with('°') { "" } else { " " };
    format!("{} to {}{space}{}", range.least, range.most, range.unit.symbol())
}

/// What a field is, its limits, their reason and what stands in for it, in one line.
pub(super) fn describe(field: &Field) -> String {
    let mut text = String::from(field.label);
    match &field.kind {
        Kind::Reading { range, travel, .. } => {
            text += &format!(": {}", limits(range));
            if let Some(travel) = travel {
                text += &format!(" or {}", limits(travel));
            }
        }
        Kind::Choice(words) => text += &format!(": {}", words.join(", ")),
        Kind::Count { least, most } if least < most => text += &format!(": {least} to {most}"),
        Kind::Count { least, .. } => text += &format!(": {least}"),
        Kind::Flag => text += ": true or false",
        Kind::Text | Kind::Cylinder | Kind::Cylinders => {}
    }
    text += &format!(" ({})", field.why);
    if let Need::Default { written, why } = field.need {
        text += &format!(". Without it: {written} ({why})");
    }
    text
}

fn field(field: &Field) -> Value {
    let cylinder = json!({ "type": ["string", "integer"] });
    let mut value = match field.kind {
        Kind::Reading { dimension: Dimension::Number, range, .. } => json!({
            "anyOf": [
                { "$ref": "#/$defs/reading" },
                { "type": "number", "minimum": range.unit.to_si(range.least), "maximum": range.unit.to_si(range.most) },
            ],
        }),
        Kind::Reading { .. } => json!({ "$ref": "#/$defs/reading" }),
        Kind::Choice(words) => json!({ "enum": words }),
        Kind::Count { least, most } => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Kind::Text => json!({ "type": "string" }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Cylinder => cylinder,
        Kind::Cylinders => json!({ "oneOf": [cylinder, { "type": "array", "items": cylinder, "minItems": 1 }] }),
    };
    value["description"] = json!(describe(field));
    value
}

fn table(label: &str, fields: &[&[Field]], sections: &[&[&Section]]) -> Value {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for item in fields.iter().copied().flatten() {
        properties.insert(item.key().into(), field(item));
        if item.need == Need::Required {
            required.push(item.key());
        }
    }
    for item in sections.iter().copied().flatten() {
        properties.insert(item.key().into(), section(item));
        if item.required {
            required.push(item.key());
        }
    }
    json!({
        "type": "object",
        "description": label,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn section(section: &Section) -> Value {
    let one = if section.variants.is_empty() {
        table(section.label, &[section.fields], &[section.sections])
    } else {
        let variants: Vec<Value> = section
            .variants
            .iter()
            .map(|variant| {
                let fields = [section.fields, variant.fields];
                let mut table = table(variant.label, &fields, &[section.sections, variant.sections]);
                table["properties"]["kind"] = json!({ "const": variant.kind });
                table
            })
            .collect();
        json!({ "description": section.label, "oneOf": variants })
    };
    if section.many {
        json!({ "type": "array", "description": section.label, "items": one, "minItems": usize::from(section.required) })
    } else {
        one
    }
}
