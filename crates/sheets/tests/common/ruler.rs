//! Where a page of a PDF draws its lines, all matrices applied.

use lopdf::{Document, Object, content::Content};

/// Points per millimetre (ISO 32000-1:2008, 8.3.2.3: user space unit 1/72 inch).
pub const MM: f64 = 72.0 / 25.4;

pub fn number(o: &Object) -> f64 {
    match o {
        Object::Integer(i) => *i as f64,
        Object::Real(r) => f64::from(*r),
        other => panic!("not a number: {other:?}"),
    }
}

type Matrix = [f64; 6];

/// `a` applied first, then `b` (ISO 32000-1:2008, 8.3.4).
fn then(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

/// Both ends [mm] of all straight single lines that a page draws, from its lower left corner.
pub fn lines(document: &Document, page: lopdf::ObjectId) -> Vec<[(f64, f64); 2]> {
    let content = Content::decode(&document.get_page_content(page).expect("content")).expect("operators");
    let mut ctm: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut stack, mut from, mut lines) = (Vec::new(), (0.0, 0.0), Vec::new());
    for op in content.operations {
        let n: Vec<f64> = op.operands.iter().filter(|o| matches!(o, Object::Integer(_) | Object::Real(_))).map(number).collect();
        let user = |m: Matrix, x: f64, y: f64| ((m[0] * x + m[2] * y + m[4]) / MM, (m[1] * x + m[3] * y + m[5]) / MM);
        match op.operator.as_str() {
            "q" => stack.push(ctm),
            "Q" => ctm = stack.pop().expect("balanced"),
            "cm" => ctm = then([n[0], n[1], n[2], n[3], n[4], n[5]], ctm),
            "m" => from = user(ctm, n[0], n[1]),
            "l" => {
                let to = user(ctm, n[0], n[1]);
                lines.push([from, to]);
                from = to;
            }
            _ => {}
        }
    }
    lines
}
