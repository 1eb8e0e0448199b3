//! `lapwing found`: another shop in the same database, with its first owner.
//!
//! The password is read from standard input, so that it stands in no list of
//! running programs.

use std::io::Read as _;

use clap::Args;
use lapwing_store::{NewPerson, Role, Store};

use super::serve::Kept;
use crate::failure::Failure;

/// The shop and who owns it.
#[derive(Args)]
pub(crate) struct Arguments {
    /// The shop's name
    shop: String,
    /// What its owner types to sign in
    #[arg(long)]
    owner: String,
    /// The owner's name
    #[arg(long)]
    owner_name: String,
    #[command(flatten)]
    kept: Kept,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let mut password = String::new();
    std::io::stdin()
        .take(2000)
        .read_to_string(&mut password)
        .map_err(|e| Failure::Input(format!("The password cannot be read ({e}).")))?;
    let places = arguments.kept.places()?;
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|e| Failure::Ours(format!("the runtime does not start ({e})")))?;
    runtime.block_on(async {
        let wrong = |e: lapwing_store::StoreError| Failure::Input(e.to_string());
        let store = Store::open(&places).await.map_err(wrong)?;
        let owner = NewPerson {
            login: &arguments.owner,
            name: &arguments.owner_name,
            role: Role::Owner,
            password: Some(password.trim_end_matches(['\r', '\n'])),
        };
        let shop = store.found_shop(&arguments.shop).await.map_err(wrong)?;
        shop.add_person(&owner).await.map_err(wrong)?;
        super::print(&format!(
            "{} is founded; {} may sign in.\n",
            arguments.shop, arguments.owner
        ));
        store.close().await;
        Ok(())
    })
}
