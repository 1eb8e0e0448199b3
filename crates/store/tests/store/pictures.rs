//! Photos, in a folder and on an S3-compatible server.
//!
//! Checked by: itself; pictures are made and decoded by a general library.

use std::io::Cursor;

use futures_util::StreamExt as _;
use image::{DynamicImage, ImageFormat, RgbImage};
use lapwing_store::{Limits, Picture, Shop, StoreError};

use crate::servers::{Home, S3, run};

#[test]
fn photos_are_kept_in_a_folder() {
    run(check_everything(&Home::on_sqlite()));
}

#[test]
fn photos_are_kept_on_an_s3_server() {
    let Some(server) = S3::start() else { return };
    let mut home = Home::on_sqlite();
    home.places.pictures = server.address();
    run(async {
        check_everything(&home).await;
        large_photos_pass_in_parts(&home).await;
    });
}

#[test]
fn a_photo_store_that_is_gone_says_so_and_comes_back() {
    let Some(mut server) = S3::start() else {
        return;
    };
    let mut home = Home::on_sqlite();
    home.places.pictures = server.address();
    run(async {
        let shop = home.shop().await;
        let kept = keep(&shop, &plain_png("a")).await.expect("kept");
        server.fell();
        let error = keep(&shop, &plain_png("b")).await.expect_err("away");
        assert!(error.may_pass(), "{error}");
        let error = read(&shop, &kept.hash).await.expect_err("away");
        assert!(error.may_pass(), "{error}");
        server.raise();
        assert_eq!(read(&shop, &kept.hash).await.expect("read"), plain_png("a"));
        keep(&shop, &plain_png("b")).await.expect("kept");
    });
}

async fn check_everything(home: &Home) {
    let shop = home.shop().await;
    a_photo_loses_its_place_and_keeps_its_picture(&shop).await;
    the_same_photo_is_kept_once(&shop).await;
    texts_in_a_png_are_dropped(&shop).await;
    exif_in_a_webp_is_blanked(&shop).await;
    bad_uploads_are_refused_with_a_sentence(&shop).await;
    let left = std::fs::read_dir(&home.places.waiting)
        .expect("listed")
        .count();
    assert_eq!(left, 0, "nothing waits any more");
    let report = shop.store().verify().await.expect("verified");
    assert_eq!(report.faults, [""; 0]);
    assert!(report.pictures >= 4);
}

/// Sends in pieces of seven bytes, so that every place is cut at once.
async fn keep(shop: &Shop, bytes: &[u8]) -> Result<Picture, StoreError> {
    let mut upload = shop.start_picture(Limits::default())?;
    for piece in bytes.chunks(7) {
        upload.write(piece).await?;
    }
    upload.finish().await
}

async fn read(shop: &Shop, hash: &str) -> Result<Vec<u8>, StoreError> {
    let (_, mut stream) = shop.read_picture(hash).await?;
    let mut bytes = Vec::new();
    while let Some(piece) = stream.next().await {
        bytes.extend_from_slice(&piece?);
    }
    Ok(bytes)
}

async fn a_photo_loses_its_place_and_keeps_its_picture(shop: &Shop) {
    let photo = phone_photo();
    assert!(has(&photo, b"GPS-SECRET") && has(&photo, b"TRAILER-SECRET"));
    let kept = keep(shop, &photo).await.expect("kept");
    assert_eq!((kept.width_px, kept.height_px), (64, 48));
    assert_eq!(kept.media, "image/jpeg");
    assert_eq!(kept.taken.as_deref(), Some("2026:05:01 10:11:12"));
    let bytes = read(shop, &kept.hash).await.expect("read");
    for secret in [
        "GPS-SECRET",
        "MAKER-SECRET",
        "XMP-SECRET",
        "COMMENT-SECRET",
        "TRAILER-SECRET",
    ] {
        assert!(!has(&bytes, secret.as_bytes()), "{secret}");
    }
    let exif = exif::Reader::new().read_from_container(&mut Cursor::new(&bytes));
    let exif = exif.expect("the orientation is there");
    let fields: Vec<_> = exif.fields().map(|field| field.tag).collect();
    assert_eq!(fields, [exif::Tag::Orientation], "and nothing else");
    let turn = exif.get_field(exif::Tag::Orientation, exif::In::PRIMARY);
    assert_eq!(turn.and_then(|f| f.value.get_uint(0)), Some(6));
    let before = image::load_from_memory(&photo).expect("decoded");
    let after = image::load_from_memory(&bytes).expect("decoded");
    assert_eq!(before.to_rgb8(), after.to_rgb8(), "not a pixel has changed");
    let again = keep(shop, &bytes).await.expect("kept");
    assert_eq!(again.hash, kept.hash, "a clean photo stays as it is");
}

async fn the_same_photo_is_kept_once(shop: &Shop) {
    let first = keep(shop, &plain_png("once")).await.expect("kept");
    let second = keep(shop, &plain_png("once")).await.expect("kept");
    assert_eq!(first, second);
}

async fn texts_in_a_png_are_dropped(shop: &Shop) {
    let clean = encoded(ImageFormat::Png);
    let mut png = clean[..33].to_vec();
    for (kind, body) in [
        (b"tEXt", "Comment\0TEXT-SECRET"),
        (b"eXIf", "MM\0*EXIF-SECRET"),
    ] {
        png.extend_from_slice(&(body.len() as u32).to_be_bytes());
        png.extend_from_slice(kind);
        png.extend_from_slice(body.as_bytes());
        png.extend_from_slice(&[1, 2, 3, 4]);
    }
    png.extend_from_slice(&clean[33..]);
    png.extend_from_slice(b"TRAILER");
    let kept = keep(shop, &png).await.expect("kept");
    assert_eq!(read(shop, &kept.hash).await.expect("read"), clean);
    assert_eq!((kept.width_px, kept.height_px), (64, 48));
}

async fn exif_in_a_webp_is_blanked(shop: &Shop) {
    let clean = encoded(ImageFormat::WebP);
    let secret = b"II*\0GPS-SECRET!!";
    // An extended header that announces EXIF, the picture, then the EXIF.
    let mut body = b"WEBPVP8X\x0a\0\0\0\x08\0\0\0\x3f\0\0\x2f\0\0".to_vec();
    body.extend_from_slice(&clean[12..]);
    body.extend_from_slice(b"EXIF");
    body.extend_from_slice(&(secret.len() as u32).to_le_bytes());
    body.extend_from_slice(secret);
    let mut webp = b"RIFF".to_vec();
    webp.extend_from_slice(&(body.len() as u32).to_le_bytes());
    webp.extend_from_slice(&body);
    let kept = keep(shop, &webp).await.expect("kept");
    let bytes = read(shop, &kept.hash).await.expect("read");
    assert_eq!(bytes.len(), webp.len());
    assert!(!has(&bytes, b"SECRET") && !has(&bytes, b"EXIF"));
    assert_eq!((kept.width_px, kept.height_px), (64, 48));
    let before = image::load_from_memory(&clean).expect("decoded");
    let after = image::load_from_memory(&bytes).expect("decoded");
    assert_eq!(before.to_rgba8(), after.to_rgba8());
    assert_eq!(keep(shop, &bytes).await.expect("kept").hash, kept.hash);
}

async fn bad_uploads_are_refused_with_a_sentence(shop: &Shop) {
    let jpeg = phone_photo();
    let mut wide_png = encoded(ImageFormat::Png);
    wide_png[16..24].copy_from_slice(&[0, 0, 0xea, 0x60, 0, 0, 0xea, 0x60]);
    let mut bomb = encoded(ImageFormat::Png);
    bomb[16..24].copy_from_slice(&[0, 0, 0x2e, 0x7c, 0, 0, 0x2e, 0x7c]);
    let cases: Vec<(Vec<u8>, &str)> = vec![
        (Vec::new(), "no JPEG, PNG or WebP"),
        (
            b"<html><script>alert(1)</script></html>".to_vec(),
            "no JPEG, PNG or WebP",
        ),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec(), "HEIC"),
        (jpeg[..jpeg.len() / 2].to_vec(), "cut off"),
        (b"\xff\xd8\xff\xd9".to_vec(), "no JPEG, PNG or WebP"),
        (b"\xff\xd8\xff\xe0\0\x02aaaaaaaaaaaaa".to_vec(), "damaged"),
        (encoded(ImageFormat::Png)[..60].to_vec(), "cut off"),
        (encoded(ImageFormat::WebP)[..60].to_vec(), "cut off"),
        (wide_png, "60000 × 60000"),
        (bomb, "11900 × 11900"),
        (vec![0xff; 1000], "no JPEG, PNG or WebP"),
    ];
    for (bytes, sentence) in cases {
        let error = keep(shop, &bytes).await.expect_err(sentence);
        assert!(error.to_string().contains(sentence), "{error}");
    }
    let mut upload = shop.start_picture(Limits::default()).expect("begun");
    let mut sent = 0;
    // A scan that never ends.
    let endless = encoded(ImageFormat::Jpeg);
    let begin = &endless[..endless.len() - 2];
    let error = loop {
        let piece = if sent == 0 { begin } else { &[0; 9000][..] };
        match upload.write(piece).await {
            Ok(()) => sent += piece.len(),
            Err(error) => break error,
        }
    };
    assert!(error.to_string().contains("more than 25 MB"), "{error}");
    assert!(sent <= 25 << 20);
}

/// More than two parts of five megabytes.
async fn large_photos_pass_in_parts(home: &Home) {
    let shop = home.open().await.found_shop("Large").await.expect("a shop");
    let png = plain_png(&"noise".repeat(80_000));
    let mut large = png[..33].to_vec();
    for n in 0..30_u8 {
        large.extend_from_slice(&400_000_u32.to_be_bytes());
        large.extend_from_slice(b"IDAT");
        large.extend(std::iter::repeat_n(n, 400_004));
    }
    large.extend_from_slice(b"\0\0\0\0IEND\0\0\0\0");
    let mut upload = shop.start_picture(Limits::default()).expect("begun");
    for piece in large.chunks(100_000) {
        upload.write(piece).await.expect("taken");
    }
    let kept = upload.finish().await.expect("kept");
    assert!(kept.size_bytes > 11 << 20);
    assert_eq!(read(&shop, &kept.hash).await.expect("read"), large);
}

/// A PNG as far as the store looks into it.
pub(crate) fn plain_png(name: &str) -> Vec<u8> {
    let mut png = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |kind: &[u8], body: &[u8]| {
        png.extend_from_slice(&(body.len() as u32).to_be_bytes());
        png.extend_from_slice(kind);
        png.extend_from_slice(body);
        png.extend_from_slice(&[0; 4]);
    };
    chunk(b"IHDR", &[0, 0, 0, 1, 0, 0, 0, 1, 8, 0, 0, 0, 0]);
    chunk(b"IDAT", name.as_bytes());
    chunk(b"IEND", b"");
    png
}

/// A small picture with structure.
fn encoded(format: ImageFormat) -> Vec<u8> {
    let picture = RgbImage::from_fn(64, 48, |x, y| {
        image::Rgb([(x * 4) as u8, (y * 5) as u8, ((x * y) % 251) as u8])
    });
    let mut bytes = Cursor::new(Vec::new());
    DynamicImage::ImageRgb8(picture)
        .write_to(&mut bytes, format)
        .expect("encoded");
    bytes.into_inner()
}

/// A JPEG as a phone makes it: turned, with place, maker, time and more.
pub(crate) fn phone_photo() -> Vec<u8> {
    let clean = encoded(ImageFormat::Jpeg);
    let mut photo = clean[..2].to_vec();
    let mut segment = |mark: u8, body: &[u8]| {
        photo.extend_from_slice(&[0xff, mark]);
        photo.extend_from_slice(&(body.len() as u16 + 2).to_be_bytes());
        photo.extend_from_slice(body);
    };
    segment(0xe1, &[b"Exif\0\0", &phone_exif()[..]].concat());
    segment(0xe1, b"http://ns.adobe.com/xap/1.0/\0XMP-SECRET");
    segment(0xfe, b"COMMENT-SECRET");
    segment(0xe2, b"MPF\0MAKER-SECRET");
    photo.extend_from_slice(&clean[2..]);
    photo.extend_from_slice(b"TRAILER-SECRET\xff\xd8\xff\xe1");
    photo
}

/// A TIFF block by hand: orientation 6, the time, and a GPS area.
fn phone_exif() -> Vec<u8> {
    let entry = |tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        let mut bytes = tag.to_be_bytes().to_vec();
        bytes.extend_from_slice(&kind.to_be_bytes());
        bytes.extend_from_slice(&count.to_be_bytes());
        bytes.extend_from_slice(&value);
        bytes
    };
    let offset = |at: u32| at.to_be_bytes();
    let mut tiff = b"MM\0*\0\0\0\x08\0\x03".to_vec();
    tiff.extend(entry(0x0112, 3, 1, [0, 6, 0, 0]));
    tiff.extend(entry(0x8769, 4, 1, offset(50)));
    tiff.extend(entry(0x8825, 4, 1, offset(88)));
    tiff.extend_from_slice(&[0; 4]);
    assert_eq!(tiff.len(), 50);
    tiff.extend_from_slice(&[0, 1]);
    tiff.extend(entry(0x9003, 2, 20, offset(68)));
    tiff.extend_from_slice(&[0; 4]);
    tiff.extend_from_slice(b"2026:05:01 10:11:12\0");
    assert_eq!(tiff.len(), 88);
    tiff.extend_from_slice(&[0, 1]);
    tiff.extend(entry(0x0008, 2, 11, offset(106)));
    tiff.extend_from_slice(&[0; 4]);
    tiff.extend_from_slice(b"GPS-SECRET\0");
    tiff
}

fn has(bytes: &[u8], text: &[u8]) -> bool {
    bytes.windows(text.len()).any(|window| window == text)
}
