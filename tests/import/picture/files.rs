//! Files of pictures: turned, in other colours, torn, and out to harm.

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageEncoder as _, ImageFormat, Luma, Rgb, RgbImage, Rgba};
use import::picture::{MAX_PIXELS, Picture, size_of};

/// Left half black, right half white.
fn halves(wide: u32, high: u32) -> RgbImage {
    RgbImage::from_fn(wide, high, |column, _| Rgb([if column < wide / 2 { 10 } else { 245 }; 3]))
}

fn jpeg(pixels: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut bytes, 90);
    let size = pixels.dimensions();
    encoder.write_image(pixels, size.0, size.1, image::ExtendedColorType::Rgb8).unwrap();
    bytes
}

fn png(image: &DynamicImage) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    image.write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

/// The pixels that a picture is kept with.
fn kept(bytes: &[u8]) -> RgbImage {
    let picture = Picture::read(bytes).unwrap_or_else(|(what, _)| panic!("{what}"));
    image::load_from_memory(&picture.encoded().unwrap().0).unwrap().into_rgb8()
}

/// A JPEG with an Exif segment that says how it is turned (orientation, tag 0x0112).
fn turned(bytes: &[u8], orientation: u8) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
    let length = u16::try_from(exif.len() + 2).unwrap().to_be_bytes();
    let segment = [&[0xff, 0xe1][..], &length, &exif].concat();
    [&bytes[..2], &segment, &bytes[2..]].concat()
}

#[test]
fn a_picture_that_was_taken_on_its_side_stands_upright_and_says_so_no_more() {
    let bytes = turned(&jpeg(&halves(64, 32)), 6);
    assert_eq!(size_of(&bytes).unwrap(), (32, 64));
    let kept_bytes = Picture::read(&bytes).unwrap().encoded().unwrap().0;
    assert!(!kept_bytes.windows(4).any(|four| four == b"Exif"));
    let upright = kept(&bytes);
    assert_eq!(upright.dimensions(), (32, 64));
    // The left side is up now.
    assert!(upright.get_pixel(16, 5).0[0] < 60 && upright.get_pixel(16, 60).0[0] > 200);
}

#[test]
fn sixteen_bits_greys_and_what_can_be_seen_through_are_read() {
    let deep =
        image::ImageBuffer::from_fn(40, 20, |x, _| Luma([if x < 20 { 0_u16 } else { 65_000 }]));
    let deep = kept(&png(&DynamicImage::ImageLuma16(deep)));
    assert!(deep.get_pixel(2, 2).0[0] < 10 && deep.get_pixel(30, 2).0[0] > 240);
    let clear =
        image::ImageBuffer::from_fn(40, 20, |x, _| Rgba([0, 0, 0, if x < 20 { 255 } else { 0 }]));
    let clear = kept(&png(&DynamicImage::ImageRgba8(clear)));
    assert_eq!((clear.get_pixel(2, 2).0[0], clear.get_pixel(30, 2).0[0]), (0, 255));
}

/// A JPEG in four inks: left half black, right half white; made with Pillow 13 from the same
/// picture in RGB.
const FOUR_INKS: &[u8] = include_bytes!("files/four-inks.jpg");

#[test]
fn four_inks_are_read_as_the_colours_that_they_print() {
    let read = kept(FOUR_INKS);
    assert!(read.get_pixel(4, 8).0.iter().all(|one| *one < 80), "{:?}", read.get_pixel(4, 8));
    assert!(read.get_pixel(27, 8).0.iter().all(|one| *one > 200), "{:?}", read.get_pixel(27, 8));
}

#[test]
fn a_picture_that_is_too_large_is_refused_by_its_head_alone() {
    // A PNG of 50000 by 50000 pixels: header and nothing else.
    let mut head = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    let fields =
        [&50_000_u32.to_be_bytes()[..], &50_000_u32.to_be_bytes(), &[8, 2, 0, 0, 0]].concat();
    let sum = crc(&[b"IHDR", &fields[..]].concat());
    head.extend(fields);
    head.extend(sum.to_be_bytes());
    head.extend(b"\0\0\0\0IDAT");
    head.extend(crc(b"IDAT").to_be_bytes());
    let (what, _) = Picture::read(&head).unwrap_err();
    assert!(
        what.contains("50000 by 50000") && what.contains(&format!("{}", MAX_PIXELS / 1_000_000))
    );
    // A JPEG that says the same of itself.
    let mut bomb = jpeg(&halves(64, 64));
    let frame = bomb.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    bomb[frame + 5..frame + 9].copy_from_slice(&[0xff, 0xff, 0xff, 0xff]);
    assert!(Picture::read(&bomb).unwrap_err().0.contains("65535"));
}

/// The check sum of a PNG's chunk (PNG, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
            (sum >> 1) ^ (0xedb8_8320 & (sum & 1).wrapping_neg())
        })
    })
}

#[test]
fn what_is_cut_off_or_no_picture_is_refused_or_read_as_far_as_it_goes() {
    for whole in [png(&DynamicImage::ImageRgb8(halves(64, 48))), jpeg(&halves(64, 48))] {
        for most in (0..whole.len()).step_by(7) {
            // Either way, without harm.
            if let Err((what, fix)) = Picture::read(&whole[..most]) {
                assert!(!what.is_empty() && !fix.is_empty());
            }
        }
    }
    let torn = png(&DynamicImage::ImageRgb8(halves(64, 48)));
    assert!(Picture::read(&torn[..torn.len() / 2]).is_err());
    assert!(Picture::read(b"GIF89a").is_err());
}
