//! Where the bytes of pictures lie: a folder, or an S3-compatible store.
//!
//! Holds: writes appear whole or not at all; a folder's are on the disk before
//! they are acknowledged.
//! Left out: other object stores, though the library knows more.
//! Checked by: `tests/store/pictures.rs`, on a folder and on an S3 server.

use std::collections::HashMap;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use futures_util::{StreamExt as _, TryStreamExt as _};
use object_store::aws::AmazonS3Builder;
use object_store::buffered::BufWriter;
use object_store::local::LocalFileSystem;
use object_store::path::Path as ObjectPath;
use object_store::{ClientOptions, ObjectStore, ObjectStoreExt as _, RetryConfig};
use tokio::io::AsyncWriteExt as _;
use url::Url;

use super::PictureStream;
use crate::error::StoreError;

/// S3 takes no smaller parts, except the last.
const S3_PART_BYTES: usize = 5 << 20;
const FOLDER_PART_BYTES: usize = 64 << 10;

/// A folder or an object store.
#[derive(Clone, Debug)]
pub(crate) struct PicturePlace {
    objects: Arc<dyn ObjectStore>,
    prefix: ObjectPath,
    part_bytes: usize,
}

impl PicturePlace {
    /// Opens `file:///FOLDER` or `s3://BUCKET/PREFIX?endpoint=…`.
    pub(crate) fn open(url: &str) -> Result<Self, StoreError> {
        let parsed = Url::parse(url).map_err(|_| unreadable())?;
        match parsed.scheme() {
            "file" => open_folder(&parsed),
            "s3" => open_bucket(&parsed),
            _ => Err(unreadable()),
        }
    }

    /// Copies a waiting file to its place.
    pub(crate) async fn keep(&self, shop: &str, hash: &str, file: &Path) -> Result<(), StoreError> {
        let mut from = tokio::fs::File::open(file).await?;
        let at = self.object(shop, hash);
        let mut to = BufWriter::with_capacity(Arc::clone(&self.objects), at, self.part_bytes);
        if let Err(error) = tokio::io::copy(&mut from, &mut to).await {
            // What was begun is taken back; if that fails too, only space is lost.
            let _ = to.abort().await;
            return Err(from_copying(error));
        }
        to.shutdown().await.map_err(from_copying)
    }

    /// The bytes of a picture.
    pub(crate) async fn read(&self, shop: &str, hash: &str) -> Result<PictureStream, StoreError> {
        let found = self.objects.get(&self.object(shop, hash)).await?;
        Ok(found.into_stream().map_err(StoreError::from).boxed())
    }

    fn object(&self, shop: &str, hash: &str) -> ObjectPath {
        let folder: String = hash.chars().take(2).collect();
        [shop, &folder, hash]
            .into_iter()
            .fold(self.prefix.clone(), |path, part| path.join(part))
    }
}

fn open_folder(url: &Url) -> Result<PicturePlace, StoreError> {
    let folder = url.to_file_path().map_err(|()| unreadable())?;
    std::fs::create_dir_all(&folder)?;
    let objects = LocalFileSystem::new_with_prefix(&folder)?
        .with_automatic_cleanup(true)
        .with_fsync(true);
    Ok(PicturePlace {
        objects: Arc::new(objects),
        prefix: ObjectPath::default(),
        part_bytes: FOLDER_PART_BYTES,
    })
}

fn open_bucket(url: &Url) -> Result<PicturePlace, StoreError> {
    // The choice is the process's; if someone chose before us, that is fine.
    let _ = rustls::crypto::ring::default_provider().install_default();
    let bucket = url.host_str().ok_or_else(unreadable)?;
    let told: HashMap<_, _> = url.query_pairs().collect();
    let client = ClientOptions::new()
        .with_connect_timeout(Duration::from_secs(5))
        .with_timeout(Duration::from_secs(60));
    let patience = RetryConfig {
        max_retries: 3,
        retry_timeout: Duration::from_secs(15),
        ..RetryConfig::default()
    };
    // Keys may stand in the environment instead, where `ps` does not show them.
    let mut builder = AmazonS3Builder::from_env()
        .with_bucket_name(bucket)
        .with_client_options(client)
        .with_retry(patience);
    if let Some(endpoint) = told.get("endpoint") {
        builder = builder
            .with_endpoint(endpoint.as_ref())
            .with_allow_http(endpoint.starts_with("http://"))
            .with_virtual_hosted_style_request(false);
    }
    if let Some(region) = told.get("region") {
        builder = builder.with_region(region.as_ref());
    }
    if let (Some(key), Some(secret)) = (told.get("key"), told.get("secret")) {
        builder = builder
            .with_access_key_id(key.as_ref())
            .with_secret_access_key(secret.as_ref());
    }
    Ok(PicturePlace {
        objects: Arc::new(builder.build()?),
        prefix: ObjectPath::from(url.path()),
        part_bytes: S3_PART_BYTES,
    })
}

fn unreadable() -> StoreError {
    StoreError::Refused(
        "The place for photos should be `file:///FOLDER` or `s3://BUCKET/PREFIX?endpoint=URL&region=REGION&key=KEY&secret=SECRET`.".to_owned(),
    )
}

/// The library wraps its errors for the copying loop; this unwraps them.
fn from_copying(error: std::io::Error) -> StoreError {
    if error.kind() == std::io::ErrorKind::StorageFull {
        return StoreError::Full {
            place: "picture store",
        };
    }
    match error.downcast::<object_store::Error>() {
        Ok(inner) => inner.into(),
        Err(error) => StoreError::Away {
            place: "picture store",
            why: error.to_string(),
        },
    }
}
