//! What a file is, by looking at it. The good files were written by other programs: the pictures by ImageMagick 6.9.11
//! with libjpeg, libpng and libwebp 1.2.4, the recording by Python's `wave`, the paper by Ghostscript.

use jobbook::{Media, MediaError};

/// Every file, and what it is.
const FILES: [(&[u8], Media); 8] = [
    (include_bytes!("files/photo.jpg"), Media::Jpeg),
    (include_bytes!("files/progressive.jpg"), Media::Jpeg),
    (include_bytes!("files/photo.png"), Media::Png),
    (include_bytes!("files/lossy.webp"), Media::WebP),
    (include_bytes!("files/lossless.webp"), Media::WebP),
    (include_bytes!("files/alpha.webp"), Media::WebP),
    (include_bytes!("files/run.wav"), Media::Wav),
    (include_bytes!("files/paper.pdf"), Media::Pdf),
];

#[test]
fn what_other_programs_wrote_is_known() {
    for (n, (bytes, media)) in FILES.into_iter().enumerate() {
        assert_eq!(Media::of(bytes), Ok(media), "file {n}");
        assert_eq!(Media::named(media.name()), Some(media));
    }
    let texts: [(&str, Media); 5] = [
        ("rpm,advance\r\n1000,10\r\n", Media::Csv),
        ("\u{feff}Drehzahl;Vorzündung\n1000;10,5\n", Media::Csv),
        ("one line, with a comma", Media::Text),
        ("Idle hangs,\nthen falls.", Media::Text),
        ("5 < 6", Media::Text),
    ];
    for (text, media) in texts {
        assert_eq!(Media::of(text.as_bytes()), Ok(media), "{text}");
    }
}

#[test]
fn a_file_that_was_cut_short_anywhere_is_refused() {
    for (n, (bytes, media)) in FILES.into_iter().enumerate() {
        for length in 0..bytes.len() {
            let kept = Media::of(&bytes[..length]);
            // Ghostscript ends with a line feed, and a RIFF may lack its last byte of padding.
            let whole = length + 1 == bytes.len() && matches!(media, Media::Pdf | Media::WebP);
            // "RIF" and "%PDF" are words as well.
            let word = length < 5 && kept == Ok(Media::Text);
            assert!(kept.is_err() || whole || word, "file {n} of {length} bytes: {kept:?}");
        }
    }
}

#[test]
fn no_bytes_whatever_make_it_panic() {
    // Every byte of every file turned over in three ways: it is known or refused.
    for (bytes, _) in FILES {
        let mut bytes = bytes.to_vec();
        for at in 0..bytes.len() {
            for change in [0xFF, 0x01, 0x80] {
                bytes[at] ^= change;
                let _ = Media::of(&bytes);
                bytes[at] ^= change;
            }
        }
    }
}

#[test]
fn what_is_none_of_these_is_refused() {
    let with = |bytes: &[u8], more: &[u8]| [bytes, more].concat();
    let zip = b"PK\x03\x04\x14\x00\x00\x00";
    for (what, bytes, why) in [
        ("nothing", vec![], MediaError::Empty),
        ("blank lines", b" \r\n\t".to_vec(), MediaError::Empty),
        ("a page", b"\n <!DOCTYPE html><script>alert(1)</script>".to_vec(), MediaError::Markup),
        ("a drawing", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>".to_vec(), MediaError::Markup),
        ("a page behind a mark", "\u{feff}<html>".into(), MediaError::Markup),
        ("an archive", zip.to_vec(), MediaError::Unknown),
        ("a program", b"\x7fELF\x02\x01\x01\x00".to_vec(), MediaError::Unknown),
        ("a GIF", b"GIF89a\x01\x00\x01\x00\x80\x00\x00".to_vec(), MediaError::Unknown),
        ("a telephone's HEIC", b"\x00\x00\x00\x24ftypheic\x00\x00\x00\x00".to_vec(), MediaError::Unknown),
        ("Latin-1", b"10\xb0 BTDC".to_vec(), MediaError::Encoding),
        ("a terminal's orders", b"\x1b[2J".to_vec(), MediaError::Unknown),
        ("a moving picture", include_bytes!("files/moving.webp").to_vec(), MediaError::Moving),
        ("PNG and archive", with(FILES[2].0, zip), MediaError::Appended(Media::Png)),
        ("WebP and page", with(FILES[3].0, b"<script>"), MediaError::Appended(Media::WebP)),
        ("WAV and archive", with(FILES[6].0, zip), MediaError::Appended(Media::Wav)),
        ("a page that calls itself JPEG", b"\xff\xd8\xff<script>alert(1)</script>".to_vec(), MediaError::Broken(Media::Jpeg)),
        ("PDF behind a page", with(b"<html>", FILES[7].0), MediaError::Unknown),
        ("AVI", b"RIFF\x04\x00\x00\x00AVI ".to_vec(), MediaError::Unknown),
    ] {
        assert_eq!(Media::of(&bytes), Err(why), "{what}");
    }
    // Telephones put a second picture behind the first; what shows a JPEG shows the first.
    assert_eq!(Media::of(&with(FILES[0].0, FILES[1].0)), Ok(Media::Jpeg));
}

/// Check of the header of `photo.png` with 65535 points either way.
const PNG_CHECK: [u8; 4] = 0x81DB2962_u32.to_be_bytes();

/// A file of a few hundred bytes whose header asks for gigabytes of memory.
#[test]
fn a_picture_that_would_swell_is_refused_by_its_header() {
    let changed = |file: &[u8], at: usize, bytes: &[u8]| {
        let mut file = file.to_vec();
        file[at..at + bytes.len()].copy_from_slice(bytes);
        file
    };
    let too_many = |bytes: &[u8], (width, height)| assert_eq!(Media::of(bytes), Err(MediaError::TooManyPixels { width, height }));

    // The frame of a JPEG: FF C0, length, precision, height, width (ITU-T T.81, B.2.2).
    let photo = FILES[0].0;
    let frame = photo.windows(2).position(|w| w == [0xFF, 0xC0]).expect("a frame");
    assert_eq!(photo[frame + 5..frame + 9], [0, 32, 0, 48], "the file has 48 x 32 points");
    too_many(&changed(photo, frame + 5, &[0xFF; 4]), (65535, 65535));

    // The canvas of an extended WebP less one (RFC 9649, 2.7), and the coded picture under a small canvas.
    let alpha = FILES[5].0;
    assert_eq!(&alpha[12..16], b"VP8X");
    too_many(&changed(alpha, 24, &[0xFF; 6]), (1 << 24, 1 << 24));
    let lossy = FILES[3].0;
    let start = lossy.windows(3).position(|w| w == [0x9D, 0x01, 0x2A]).expect("a start code");
    too_many(&changed(lossy, start + 3, &[0xFF, 0x3F, 0xFF, 0x3F]), (16383, 16383));

    // The header of a PNG with its check (zlib's CRC-32 of "IHDR" and the thirteen bytes, worked out with Python).
    let png = FILES[2].0;
    let wide = changed(png, 16, &[0, 0, 0xFF, 0xFF, 0, 0, 0xFF, 0xFF]);
    assert_eq!(Media::of(&wide), Err(MediaError::Broken(Media::Png)), "its check is that of the old size");
    too_many(&changed(&wide, 29, &PNG_CHECK), (65535, 65535));
}
