//! The page of a sitting: where it is shown.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};

use anyhow::Result;

use super::remark::remark;
use crate::views::serve::Page;

/// The port of the page where none is given; none is registered for it (from memory).
const PORT: &str = "7391";

/// Where the page of a sitting is shown, if at all.
#[derive(Debug, clap::Args)]
pub(crate) struct PageArguments {
    /// Show the sitting to browsers: a page for a tablet over the bench, on that port (0 for any that is free), or 7391.
    #[arg(long, value_name = "PORT", num_args = 0..=1, default_missing_value = PORT)]
    page: Option<u16>,
    /// Address at which the page is shown; 0.0.0.0 for all of this machine. Without it 127.0.0.1: only to browsers of this
    /// machine. Any other needs the key printed with the address. Nothing is encrypted.
    #[arg(long, value_name = "ADDRESS", requires = "page")]
    listen: Option<IpAddr>,
}

impl PageArguments {
    /// Whether there is to be a page.
    pub(crate) const fn wanted(&self) -> bool {
        self.page.is_some()
    }

    /// The page, if there is to be one; its address is told.
    pub(crate) fn open(&self) -> Result<Option<Page>> {
        let Some(port) = self.page else {
            return Ok(None);
        };
        let ip = self.listen.unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST));
        let page = Page::bind(SocketAddr::new(ip, port))?;
        remark(&format!("page       {}", page.url()));
        if !page.is_private() {
            remark(
                "anyone on this network can read along and take the key: use it only on networks that you trust",
            );
        }
        Ok(Some(page))
    }
}
