//! Lets guests in, as long as somebody is invited.

use std::sync::Arc;

use axum::Router;
use tokio::net::TcpListener;
use tokio::sync::{Semaphore, watch};
use tokio::time::timeout;

use super::{Share, over};
use crate::accept::{SAYS_WITHIN, next, talk};
use crate::door::Door;

/// Most connections of guests at once that are not pages; others wait until there is room.
const MOST: usize = 32;

/// Lets guests in until the program ends. `router` is what answers behind a door, as long as
/// nothing is over.
pub async fn host(
    share: Arc<Share>,
    router: impl Fn(Door, watch::Receiver<bool>) -> Router,
    mut ended: watch::Receiver<bool>,
) {
    let listener = share.listener.try_clone().and_then(TcpListener::from_std);
    let Ok(listener) = listener else { return };
    let seats = Arc::new(Semaphore::new(MOST));
    while let Some((seat, stream)) = next(&listener, &seats, &mut ended).await {
        // Where nobody is invited nothing is said at all.
        let Some(given) = share.given() else { continue };
        let acceptor = share.secure.as_ref().map(|(acceptor, _)| acceptor.clone());
        let mut withdrawn = given.ended();
        let router = router(share.door(given), withdrawn.clone());
        tokio::spawn(async move {
            let serve = async {
                let Some(acceptor) = acceptor else { return talk(stream, router).await };
                let stream = timeout(SAYS_WITHIN, acceptor.accept(stream)).await;
                if let Ok(Ok(stream)) = stream {
                    talk(stream, router).await;
                }
            };
            tokio::select! {
                () = serve => {}
                () = over(&mut withdrawn) => {}
            }
            drop(seat);
        });
    }
}
