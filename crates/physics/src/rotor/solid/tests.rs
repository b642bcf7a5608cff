use super::*;

const STEEL: f64 = 7850.0;
/// Closed forms against closed forms: rounding only [1].
const ROUNDING: f64 = 1e-9;
/// What the handbook values are printed to [1].
const PRINTED: f64 = 1e-8;

fn ring(from_m: f64, to_m: f64, outside: f64, inside: f64) -> Piece {
    Piece { from_m, to_m, outside_m: [outside; 2], inside_m: [inside; 2], density_kg_m3: STEEL }
}

fn near(got: f64, want: f64, tolerance: f64) {
    assert!((got / want - 1.0).abs() < tolerance, "{got} {want}");
}

#[test]
fn ring_and_disc() {
    // J = m(R² + r²)/2 and m R²/2: Machinery's Handbook (from memory); the ring's numbers by scipy 1.17.1 quad of 2πρ r³ b.
    let ring_120 = ring(0.0, 0.030, 0.060, 0.050).bulk();
    near(ring_120.mass_kg, 0.8138295769, PRINTED);
    near(ring_120.inertia_kg_m2, 0.00248218021, PRINTED);
    let disc_100 = ring(0.0, 0.020, 0.050, 0.0).bulk();
    near(disc_100.mass_kg, 1.233075117, PRINTED);
    near(disc_100.inertia_kg_m2, 0.001541343896, PRINTED);
}

#[test]
fn cone_and_frustum() {
    // J = 0.3 m R²; J = 0.3 m (R₂⁵ − R₁⁵)/(R₂³ − R₁³); numbers by numpy 2.4.6, checked by scipy 1.17.1 quad.
    let cone = Piece { outside_m: [0.020, 0.0], inside_m: [0.0; 2], ..ring(0.0, 0.040, 0.0, 0.0) };
    near(cone.bulk().mass_kg, 0.1315280124, PRINTED);
    near(cone.bulk().inertia_kg_m2, 1.578336149e-05, PRINTED);
    // The centre of mass of a cone is a quarter of its height above its base, by definition of the handbook's figure.
    near(cone.bulk().centre_m(), 0.010, ROUNDING);
    let frustum = Piece { outside_m: [0.010, 0.014], ..cone };
    near(frustum.bulk().mass_kg, 0.1433655335, PRINTED);
    near(frustum.bulk().inertia_kg_m2, 1.07973976e-05, PRINTED);
}

/// ∫ f over a piece's half section by Gauss points of the third order in slices: independent of the closed forms.
fn by_slices(p: &Piece, f: impl Fn(f64, f64) -> f64) -> f64 {
    let (n, gauss) = (400, [(-0.6f64.sqrt(), 5.0 / 9.0), (0.0, 8.0 / 9.0), (0.6f64.sqrt(), 5.0 / 9.0)]);
    let step = (p.to_m - p.from_m) / n as f64;
    let mut sum = 0.0;
    for i in 0..n {
        for (a, u) in gauss {
            let z = p.from_m + step * (i as f64 + 0.5 * (1.0 + a));
            let (low, high) = (p.inside_at(z), p.outside_at(z));
            for (b, v) in gauss {
                let r = low + 0.5 * (high - low) * (1.0 + b);
                sum += f(r, z) * u * v * 0.25 * step * (high - low);
            }
        }
    }
    sum
}

#[test]
fn a_tapered_ring_by_slices() {
    let p = Piece { outside_m: [0.051, 0.054], inside_m: [0.046, 0.0475], ..ring(0.003, 0.037, 0.0, 0.0) };
    let b = p.bulk();
    near(b.mass_kg, by_slices(&p, |r, _| TAU * r * STEEL), ROUNDING);
    near(b.moment_kg_m, by_slices(&p, |r, z| TAU * r * z * STEEL), ROUNDING);
    near(b.inertia_kg_m2, by_slices(&p, |r, _| TAU * r.powi(3) * STEEL), ROUNDING);
    for (k, got) in p.section().into_iter().enumerate() {
        near(got, by_slices(&p, |r, _| r.powi(k as i32)), ROUNDING);
    }
    // Pappus: a turned body's volume is its section's area times the way of its centroid.
    near(b.mass_kg, STEEL * TAU * p.section()[1], ROUNDING);
}

#[test]
fn pieces_add_and_holes_take_away() {
    let whole = vec![ring(0.0, 0.030, 0.054, 0.0)];
    let parts = vec![ring(0.0, 0.010, 0.054, 0.020), ring(0.0, 0.030, 0.020, 0.0), ring(0.010, 0.030, 0.054, 0.020)];
    let holes = vec![Holes { count: 3, circle_m: 0.030, radius_m: 0.005, from_m: 0.0, to_m: 0.030 }];
    let one = Solid::new(whole, holes.clone(), vec![]).unwrap().bulk();
    let many = Solid::new(parts, holes, vec![]).unwrap().bulk();
    near(many.mass_kg, one.mass_kg, ROUNDING);
    near(many.moment_kg_m, one.moment_kg_m, ROUNDING);
    near(many.inertia_kg_m2, one.inertia_kg_m2, ROUNDING);
    // By the parallel axes: three cylinders of ρ π r² h at 30 mm.
    let drilled = 3.0 * STEEL * PI * 0.005f64.powi(2) * 0.030;
    near(one.mass_kg, STEEL * PI * 0.054f64.powi(2) * 0.030 - drilled, ROUNDING);
    near(
        one.inertia_kg_m2,
        0.5 * STEEL * PI * 0.054f64.powi(4) * 0.030 - drilled * (0.030f64.powi(2) + 0.5 * 0.005f64.powi(2)),
        ROUNDING,
    );
}

#[test]
fn magnets_that_close_are_a_ring() {
    let magnets = Magnets {
        count: 6,
        from_m: 0.01,
        to_m: 0.03,
        inside_m: 0.040,
        outside_m: 0.046,
        arc_rad: TAU / 6.0,
        density_kg_m3: 4900.0,
    };
    let ring = Piece { density_kg_m3: 4900.0, ..ring(0.01, 0.03, 0.046, 0.040) };
    let (a, b) = (magnets.bulk(), ring.bulk());
    near(a.mass_kg, b.mass_kg, ROUNDING);
    near(a.moment_kg_m, b.moment_kg_m, ROUNDING);
    near(a.inertia_kg_m2, b.inertia_kg_m2, ROUNDING);
    near(magnets.pull_kg_m(), TAU * 4900.0 * ring.section()[2], ROUNDING);
}

#[test]
fn what_does_not_fit_is_refused() {
    let rim = ring(0.0, 0.030, 0.054, 0.049);
    let web = ring(0.0, 0.005, 0.049, 0.015);
    let solid =
        |pieces: &[Piece], holes: &[Holes], magnets: &[Magnets]| Solid::new(pieces.to_vec(), holes.to_vec(), magnets.to_vec());
    assert!(solid(&[rim, web], &[], &[]).is_ok());
    assert_eq!(solid(&[], &[], &[]), Err(NotARotor::Empty));
    assert_eq!(solid(&[Piece { to_m: f64::NAN, ..rim }], &[], &[]), Err(NotARotor::BadPiece { piece: 0 }));
    assert_eq!(solid(&[Piece { to_m: -0.01, ..rim }], &[], &[]), Err(NotARotor::BadPiece { piece: 0 }));
    assert!(matches!(solid(&[rim, Piece { inside_m: [0.05; 2], ..web }], &[], &[]), Err(NotARotor::InsideOut { piece: 1, .. })));
    let thick = Piece { outside_m: [0.050; 2], ..web };
    assert!(matches!(solid(&[rim, thick], &[], &[]), Err(NotARotor::Overlap { first: 0, second: 1, .. })));
    // A cone that is clear of the rim at its faces' mean, and cuts into it at one end only.
    let cone = Piece { outside_m: [0.0487, 0.0493], ..web };
    assert!(matches!(solid(&[rim, cone], &[], &[]), Err(NotARotor::Overlap { at_m, .. }) if at_m > 0.0025));
    assert_eq!(solid(&[rim, Piece { outside_m: [0.048; 2], ..web }], &[], &[]), Err(NotARotor::Loose { piece: 1 }));
    let hole = Holes { count: 4, circle_m: 0.030, radius_m: 0.004, from_m: 0.0, to_m: 0.005 };
    assert!(solid(&[rim, web], &[hole], &[]).is_ok());
    assert!(
        matches!(solid(&[rim, web], &[Holes { to_m: 0.006, ..hole }], &[]), Err(NotARotor::HoleOutside { holes: 0, at_m }) if at_m > 0.004)
    );
    assert!(matches!(solid(&[rim, web], &[Holes { circle_m: 0.047, ..hole }], &[]), Err(NotARotor::HoleOutside { .. })));
    assert_eq!(solid(&[rim, web], &[Holes { count: 30, ..hole }], &[]), Err(NotARotor::HolesMeet { first: 0, second: 0 }));
    assert_eq!(
        solid(&[rim, web], &[hole, Holes { radius_m: 0.02, count: 1, ..hole }], &[]),
        Err(NotARotor::HoleOutside { holes: 1, at_m: 0.0 })
    );
    assert_eq!(solid(&[rim, web], &[Holes { radius_m: 0.0, ..hole }], &[]), Err(NotARotor::BadHoles { holes: 0 }));
    let magnets =
        Magnets { count: 6, from_m: 0.006, to_m: 0.028, inside_m: 0.043, outside_m: 0.049, arc_rad: 0.9, density_kg_m3: 4900.0 };
    assert!(solid(&[rim, web], &[], &[magnets]).is_ok());
    assert_eq!(
        solid(&[rim, web], &[], &[Magnets { from_m: 0.004, ..magnets }]),
        Err(NotARotor::MagnetInMetal { magnets: 0, piece: 1 })
    );
    assert_eq!(solid(&[rim, web], &[], &[Magnets { count: 7, ..magnets }]), Err(NotARotor::BadMagnets { magnets: 0 }));
    assert_eq!(solid(&[rim, web], &[], &[magnets, magnets]), Err(NotARotor::MagnetsMeet { first: 0, second: 1 }));
}
