//! Lets connections in, and shows out those that say nothing.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, watch};
use tokio::time::{sleep, timeout};

use crate::share::over;

/// Most connections at once that are not pages; others wait until there is room. Those of pages
/// have a bound of their own.
const MOST: usize = 64;

/// How long a connection may take to say what it wants, the first time and each time after.
pub const SAYS_WITHIN: Duration = Duration::from_secs(5);

/// How long a connection may last altogether that is no page: as long as a download may take.
const LASTS: Duration = Duration::from_secs(300);

/// How long to wait where the system takes no connection, for want of files, say.
const PAUSE: Duration = Duration::from_millis(100);

/// Lets connections in until the program ends.
pub async fn accept(listener: TcpListener, router: Router, mut ended: watch::Receiver<bool>) {
    let seats = Arc::new(Semaphore::new(MOST));
    while let Some((seat, stream)) = next(&listener, &seats, &mut ended).await {
        let (router, mut ended) = (router.clone(), ended.clone());
        tokio::spawn(async move {
            tokio::select! {
                () = talk(stream, router) => {}
                () = over(&mut ended) => {}
            }
            drop(seat);
        });
    }
}

/// The next connection, with its seat among those at once; `None` once all is over.
pub async fn next(
    listener: &TcpListener,
    seats: &Arc<Semaphore>,
    ended: &mut watch::Receiver<bool>,
) -> Option<(OwnedSemaphorePermit, TcpStream)> {
    loop {
        let next = async {
            let seat = seats.clone().acquire_owned().await;
            (seat, listener.accept().await)
        };
        let (seat, accepted) = tokio::select! {
            next = next => next,
            () = over(ended) => return None,
        };
        let Ok((stream, _)) = accepted else {
            sleep(PAUSE).await;
            continue;
        };
        // A table and the map after it are two small messages: the second waits for nobody.
        let _ = stream.set_nodelay(true);
        // The seats are never closed.
        return Some((seat.ok()?, stream));
    }
}

/// Answers what a connection asks for, until it has lasted long enough.
pub async fn talk<S>(stream: S, router: Router)
where
    S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
{
    let mut server = http1::Builder::new();
    server.timer(TokioTimer::new()).header_read_timeout(SAYS_WITHIN);
    let service = TowerToHyperService::new(router);
    let connection = server.serve_connection(TokioIo::new(stream), service).with_upgrades();
    let _ = timeout(LASTS, connection).await;
}
