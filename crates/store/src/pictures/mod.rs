//! Keeps photographs by their content, without the place they were taken at.
//!
//! Law: a picture's name is the SHA-256 of its bytes after everything that is
//! not picture has been taken out; the same picture is kept once per shop.
//! Source: SHA-256 is FIPS 180-4.
//! Holds: bytes are passed on as they come; in memory are one piece of the
//! upload, one segment of the picture (64 kB) and, for an object store, one
//! part (5 MiB). Size and sides are limited before anything is decoded.
//! Left out: decoding; HEIC, which is refused with a hint.
//! Checked by: `tests/store/pictures.rs`, on a folder and on an S3 server.

mod jpeg;
mod place;
mod png;
mod webp;

use std::path::{Path, PathBuf};

use bytes::Bytes;
use futures_util::StreamExt as _;
use futures_util::stream::BoxStream;
use sha2::{Digest as _, Sha256};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};

pub(crate) use place::PicturePlace;

use crate::database::Cell;
use crate::error::StoreError;
use crate::event::hex;
use crate::shop::Shop;

/// What is known of a kept picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// SHA-256 of its bytes: its name.
    pub hash: String,
    /// `image/jpeg`, `image/png` or `image/webp`.
    pub media: String,
    /// Its size.
    pub size_bytes: i64,
    /// Its width as stored.
    pub width_px: i64,
    /// Its height as stored.
    pub height_px: i64,
    /// When it was taken, `YYYY:MM:DD HH:MM:SS` in the camera's time, if the
    /// camera said so.
    pub taken: Option<String>,
}

/// How large a picture may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Most bytes.
    pub most_bytes: u64,
    /// Longest side.
    pub most_side_px: u32,
    /// Most pixels altogether.
    pub most_pixels: u64,
}

/// A picture on its way in. Dropping it leaves nothing behind.
pub struct PictureUpload {
    shop: Shop,
    limits: Limits,
    /// The first bytes, until they say what it is.
    head: Vec<u8>,
    kind: Option<Kind>,
    file: tokio::fs::File,
    path: tempfile::TempPath,
    hash: Sha256,
    came_bytes: u64,
    kept_bytes: u64,
    out: Vec<u8>,
}

/// A kept picture on its way out, piece by piece.
pub type PictureStream = BoxStream<'static, Result<Bytes, StoreError>>;

pub(crate) struct Facts {
    media: &'static str,
    width_px: u32,
    height_px: u32,
    taken: Option<String>,
}

/// Why a picture is not taken.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum PictureFault {
    #[error(
        "This is no JPEG, PNG or WebP picture. Take the photo again, or save it as JPEG and send that."
    )]
    Unknown,
    #[error(
        "This photo is in the HEIC format, which cannot be shown everywhere. In the camera's settings choose the most compatible format (JPEG), or send a screenshot of it."
    )]
    Heic,
    #[error("This is a moving picture. Send a still one.")]
    Moving,
    #[error("The photo is cut off before its end. Send it again.")]
    CutOff,
    #[error("The photo is damaged inside. Take or save it again.")]
    Broken,
    #[error("The photo has more than {0} MB. Send a smaller one.")]
    TooLarge(u64),
    #[error(
        "The photo is {0} × {1} pixels; at most {2} along a side and {3} million altogether are taken. Send a smaller one."
    )]
    TooWide(u32, u32, u32, u64),
}

impl From<PictureFault> for StoreError {
    fn from(fault: PictureFault) -> Self {
        Self::Refused(fault.to_string())
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            most_bytes: 25 << 20,
            most_side_px: 12_000,
            most_pixels: 64_000_000,
        }
    }
}

impl Limits {
    fn check_sides(&self, facts: &Facts) -> Result<(), PictureFault> {
        let (width, height) = (facts.width_px, facts.height_px);
        if width == 0 || height == 0 {
            return Err(PictureFault::Broken);
        }
        let pixels = u64::from(width) * u64::from(height);
        if width.max(height) > self.most_side_px || pixels > self.most_pixels {
            return Err(PictureFault::TooWide(
                width,
                height,
                self.most_side_px,
                self.most_pixels / 1_000_000,
            ));
        }
        Ok(())
    }
}

impl Facts {
    fn new(media: &'static str) -> Self {
        Self {
            media,
            width_px: 0,
            height_px: 0,
            taken: None,
        }
    }
}

enum Kind {
    Jpeg(jpeg::Jpeg),
    Png(png::Png),
    Webp(webp::Webp),
}

impl Kind {
    const HEAD_BYTES: usize = 12;

    fn of(head: &[u8]) -> Result<Self, PictureFault> {
        match head {
            [0xff, 0xd8, 0xff, ..] => Ok(Self::Jpeg(jpeg::Jpeg::new())),
            [0x89, b'P', b'N', b'G', ..] => Ok(Self::Png(png::Png::new())),
            [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P'] => {
                Ok(Self::Webp(webp::Webp::new()))
            }
            [_, _, _, _, b'f', b't', b'y', b'p', brand @ ..] if is_heic(brand) => {
                Err(PictureFault::Heic)
            }
            _ => Err(PictureFault::Unknown),
        }
    }

    fn feed(
        &mut self,
        input: &[u8],
        limits: &Limits,
        out: &mut Vec<u8>,
    ) -> Result<(), PictureFault> {
        match self {
            Self::Jpeg(jpeg) => jpeg.feed(input, limits, out),
            Self::Png(png) => png.feed(input, limits, out),
            Self::Webp(webp) => webp.feed(input, limits, out),
        }
    }

    fn finish(self) -> Result<Facts, PictureFault> {
        match self {
            Self::Jpeg(jpeg) => jpeg.finish(),
            Self::Png(png) => png.finish(),
            Self::Webp(webp) => webp.finish(),
        }
    }
}

fn is_heic(brand: &[u8]) -> bool {
    matches!(
        brand,
        b"heic" | b"heix" | b"hevc" | b"mif1" | b"msf1" | b"heim"
    )
}

impl Shop {
    /// Starts to take a picture in.
    ///
    /// # Errors
    /// When the waiting folder cannot be written.
    pub fn start_picture(&self, limits: Limits) -> Result<PictureUpload, StoreError> {
        let waiting = tempfile::NamedTempFile::new_in(&self.store.inner.waiting)?;
        let (file, path) = waiting.into_parts();
        Ok(PictureUpload {
            shop: self.clone(),
            limits,
            head: Vec::new(),
            kind: None,
            file: tokio::fs::File::from_std(file),
            path,
            hash: Sha256::new(),
            came_bytes: 0,
            kept_bytes: 0,
            out: Vec::new(),
        })
    }

    /// Takes a picture in from a file.
    ///
    /// # Errors
    /// As [`PictureUpload::finish`], or when the file cannot be read.
    pub async fn keep_picture_file(
        &self,
        path: &Path,
        limits: Limits,
    ) -> Result<Picture, StoreError> {
        let mut file = tokio::fs::File::open(path).await?;
        let mut upload = self.start_picture(limits)?;
        let mut piece = vec![0; PIECE_BYTES];
        loop {
            match file.read(&mut piece).await? {
                0 => return upload.finish().await,
                count => upload.write(&piece[..count]).await?,
            }
        }
    }

    /// What is known of a picture of this shop.
    ///
    /// # Errors
    /// When the shop has no such picture, or the database is away.
    pub async fn picture(&self, hash: &str) -> Result<Picture, StoreError> {
        self.maybe_picture(hash)
            .await?
            .ok_or_else(|| StoreError::not_there("picture", hash))
    }

    /// A picture of this shop, piece by piece.
    ///
    /// # Errors
    /// When the shop has no such picture, or a place is away.
    pub async fn read_picture(&self, hash: &str) -> Result<(Picture, PictureStream), StoreError> {
        let picture = self.picture(hash).await?;
        let stream = self.place().read(&self.id, hash).await?;
        Ok((picture, stream))
    }

    async fn maybe_picture(&self, hash: &str) -> Result<Option<Picture>, StoreError> {
        const ONE: &str = "SELECT hash, media, size_bytes, width_px, height_px, taken \
            FROM pictures WHERE shop = $1 AND hash = $2";
        let cells = [Cell::from(&self.id), Cell::from(hash)];
        let Some(row) = self.database().row(ONE, &cells).await? else {
            return Ok(None);
        };
        Ok(Some(Picture {
            hash: row.text(0)?,
            media: row.text(1)?,
            size_bytes: row.int(2)?,
            width_px: row.int(3)?,
            height_px: row.int(4)?,
            taken: row.maybe_text(5)?,
        }))
    }

    async fn note_picture(&self, picture: &Picture) -> Result<(), StoreError> {
        const NEW: &str = "INSERT INTO pictures (shop, hash, media, size_bytes, width_px, \
            height_px, taken, made_ms) VALUES ($1, $2, $3, $4, $5, $6, $7, $8) \
            ON CONFLICT DO NOTHING";
        let cells = [
            Cell::from(&self.id),
            Cell::from(&picture.hash),
            Cell::from(&picture.media),
            Cell::from(picture.size_bytes),
            Cell::from(picture.width_px),
            Cell::from(picture.height_px),
            Cell::from(&picture.taken),
            Cell::from(self.now_ms()),
        ];
        self.database().change(NEW, &cells).await?;
        Ok(())
    }

    pub(crate) fn place(&self) -> &PicturePlace {
        &self.store.inner.pictures
    }
}

const PIECE_BYTES: usize = 64 << 10;

impl PictureUpload {
    /// Takes the next bytes of any number.
    ///
    /// # Errors
    /// When it is no picture, too large, too wide or damaged, or the disk is
    /// full. Nothing is kept then.
    pub async fn write(&mut self, bytes: &[u8]) -> Result<(), StoreError> {
        self.came_bytes += bytes.len() as u64;
        if self.came_bytes > self.limits.most_bytes {
            return Err(PictureFault::TooLarge(self.limits.most_bytes >> 20).into());
        }
        for piece in bytes.chunks(PIECE_BYTES) {
            self.write_piece(piece).await?;
        }
        Ok(())
    }

    /// Keeps the picture for good and says what it is. Doing so twice with the
    /// same picture keeps it once.
    ///
    /// # Errors
    /// When the picture is cut off, or a place is away or full.
    pub async fn finish(mut self) -> Result<Picture, StoreError> {
        let Some(kind) = self.kind.take() else {
            return Err(PictureFault::Unknown.into());
        };
        let facts = kind.finish()?;
        self.file.flush().await?;
        let picture = Picture {
            hash: hex(&self.hash.finalize()),
            media: facts.media.to_owned(),
            size_bytes: self.kept_bytes as i64,
            width_px: i64::from(facts.width_px),
            height_px: i64::from(facts.height_px),
            taken: facts.taken,
        };
        if let Some(known) = self.shop.maybe_picture(&picture.hash).await? {
            return Ok(known);
        }
        let path: PathBuf = self.path.to_path_buf();
        let place = self.shop.place();
        place.keep(&self.shop.id, &picture.hash, &path).await?;
        // Only now is it known: what is listed is there.
        self.shop.note_picture(&picture).await?;
        Ok(picture)
    }

    async fn write_piece(&mut self, piece: &[u8]) -> Result<(), StoreError> {
        self.out.clear();
        if let Some(kind) = &mut self.kind {
            kind.feed(piece, &self.limits, &mut self.out)?;
        } else {
            self.head.extend_from_slice(piece);
            if self.head.len() < Kind::HEAD_BYTES {
                return Ok(());
            }
            let mut kind = Kind::of(&self.head[..Kind::HEAD_BYTES])?;
            kind.feed(&self.head, &self.limits, &mut self.out)?;
            self.head = Vec::new();
            self.kind = Some(kind);
        }
        self.hash.update(&self.out);
        self.kept_bytes += self.out.len() as u64;
        self.file.write_all(&self.out).await?;
        Ok(())
    }
}

/// The SHA-256 and the length of a stream, without holding it.
pub(crate) async fn hash_of(mut stream: PictureStream) -> Result<(String, i64), StoreError> {
    let mut hash = Sha256::new();
    let mut length = 0;
    while let Some(piece) = stream.next().await {
        let piece = piece?;
        length += piece.len() as i64;
        hash.update(&piece);
    }
    Ok((hex(&hash.finalize()), length))
}
