//! The program's side of the page: its files, its connections, and how it begins and ends.

use std::io;
use std::net::Ipv4Addr;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use axum::Router;
use axum::extract::ws::WebSocketUpgrade;
use axum::extract::ws::rejection::WebSocketUpgradeRejection;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::middleware;
use axum::response::{IntoResponse as _, Response};
use axum::routing::get;
use tokio::net::TcpListener;
use tokio::runtime::Runtime;
use tokio::sync::watch;

use crate::accept::accept;
use crate::copy::{Copy, OpenError};
use crate::door::{Door, guard, random_name};
use crate::hub::{Hub, MOST_TABS};
use crate::message::{MOST_BYTES, SUBPROTOCOL};
use crate::page::PageFile;
use crate::share::{Share, host};
use crate::start::empty;
use crate::take::Making;
use crate::{live, private, questions, readings, socket, walk};
use forecast::Model;
use units::Lengths;

/// How often the plan's file is looked at.
const LOOK_EVERY: Duration = Duration::from_secs(3);

/// What messages about a plan call it that has no file yet.
const NEW_SOURCE: &str = "new plan";

/// How long connections may take to end.
const END_WITHIN: Duration = Duration::from_secs(2);

/// Which plan is served.
#[derive(Debug, Clone)]
pub enum Opened {
    /// That of a file.
    File(PathBuf),
    /// One that has no file yet; it will be in this folder.
    New(PathBuf),
}

/// What to serve.
#[derive(Debug, Clone)]
pub struct ServeSettings {
    /// The plan.
    pub plan: Opened,
    /// The port; 0 for any that is free.
    pub port: u16,
    /// The settings of the forecast.
    pub model: Model,
    /// The files of the page.
    pub page: &'static [PageFile],
    /// How documents and pictures are made.
    pub making: Making,
    /// Where another device in the network is let in, if anywhere.
    pub share: Option<Arc<Share>>,
}

/// Why the page cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The plan cannot be opened.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// The port cannot be had.
    #[error("cannot listen on port {port}: {why}; give another --port, or none for any")]
    Port {
        /// The port.
        port: u16,
        /// The system's answer.
        why: io::Error,
    },
    /// The system refuses something else.
    #[error("the page cannot be served: {0}")]
    System(#[from] io::Error),
}

#[derive(Clone)]
struct Shared {
    hub: Arc<Hub>,
    door: Door,
    page: &'static [PageFile],
    sockets: Arc<AtomicUsize>,
    ended: watch::Receiver<bool>,
}

/// Serves the page of a plan until the program is asked to end. `ready` is given the page's address
/// once it can be opened.
///
/// # Errors
/// [`ServeError`].
pub fn serve(settings: &ServeSettings, ready: impl FnOnce(&str)) -> Result<(), ServeError> {
    let runtime = Runtime::new()?;
    runtime.block_on(async {
        let port = settings.port;
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await;
        let listener = listener.map_err(|why| ServeError::Port { port, why })?;
        let port = listener.local_addr()?.port();
        let key = random_name()?;
        let address = format!("http://127.0.0.1:{port}/#{key}");
        let (found, source) = match &settings.plan {
            Opened::File(file) => (Copy::open(file, &address)?, file.display().to_string()),
            Opened::New(folder) => {
                let found = Copy::unnamed(folder, empty(Lengths::Metric), &address)?;
                (found, NEW_SOURCE.to_owned())
            }
        };
        private::sweep(&tempfile::env::temp_dir());
        let making = settings.making.clone();
        let share = settings.share.clone();
        let hub = Hub::new((found, source), settings.model, making);
        let hub = Arc::new(hub.shared_by(share.clone()));
        let workers = [
            worker(&hub, "forecast", live::follow),
            worker(&hub, "answers", questions::answer),
            worker(&hub, "papers", Hub::hand_out),
            worker(&hub, "readings", readings::keep),
            worker(&hub, "walk", walk::follow),
        ];
        let workers = workers.into_iter().collect::<io::Result<Vec<_>>>()?;
        let (end, ended) = watch::channel(false);
        let shared = Shared {
            hub: hub.clone(),
            door: Door::new(port, key),
            page: settings.page,
            sockets: Arc::default(),
            ended: ended.clone(),
        };
        let guests = share.clone().map(|share| {
            let shared = Shared { sockets: Arc::default(), ..shared.clone() };
            let behind = move |door, ended| router(Shared { door, ended, ..shared.clone() });
            tokio::spawn(host(share, behind, ended.clone()))
        });
        let server = tokio::spawn(accept(listener, router(shared), ended));
        let asked = asked_to_end()?;
        tokio::pin!(asked);
        ready(&address);
        let mut look = tokio::time::interval(LOOK_EVERY);
        loop {
            tokio::select! {
                () = &mut asked => break,
                _ = look.tick() => {
                    let hub = hub.clone();
                    let look = move || (hub.look(), hub.shelf().sweep());
                    let _ = tokio::task::spawn_blocking(look).await;
                }
            }
        }
        hub.end();
        share.iter().for_each(|share| share.withdraw());
        let _ = end.send(true);
        let all = async { (server.await, futures_util::future::OptionFuture::from(guests).await) };
        let _ = tokio::time::timeout(END_WITHIN, all).await;
        drop(workers);
        Ok(())
    })
}

fn worker(hub: &Arc<Hub>, name: &str, work: fn(&Hub)) -> io::Result<std::thread::JoinHandle<()>> {
    let hub = hub.clone();
    std::thread::Builder::new().name(name.to_owned()).spawn(move || work(&hub))
}

/// Ends with Ctrl-C, or what else a system sends to end a program; it listens from now on.
#[cfg(unix)]
fn asked_to_end() -> io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    let mut hang_up = signal(SignalKind::hangup())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
            _ = hang_up.recv() => {}
        }
    })
}

/// Ends with Ctrl-C; it listens from now on.
#[cfg(windows)]
fn asked_to_end() -> io::Result<impl Future<Output = ()>> {
    let mut interrupt = tokio::signal::windows::ctrl_c()?;
    Ok(async move {
        interrupt.recv().await;
    })
}

fn router(shared: Shared) -> Router {
    let door = shared.door.clone();
    Router::new()
        .route("/live", get(join))
        .fallback(file)
        .with_state(shared)
        .layer(middleware::from_fn_with_state(door, guard))
}

/// One of the fixed files of the page, or one that was taken away.
async fn file(State(shared): State<Shared>, request: Request) -> Response {
    if let Some(taken) = shared.hub.shelf().get(request.uri().path()) {
        return taken.into_response();
    }
    if let Some(ground) = shared.hub.ground_at(request.uri().path()) {
        return ground.into_response();
    }
    let path = request.uri().path().strip_prefix('/');
    let known = shared.page.iter().find(|file| Some(file.path) == path);
    known.map_or_else(
        || StatusCode::NOT_FOUND.into_response(),
        |file| ([(header::CONTENT_TYPE, file.mime)], file.bytes).into_response(),
    )
}

async fn join(
    State(shared): State<Shared>,
    headers: HeaderMap,
    upgrade: Result<WebSocketUpgrade, WebSocketUpgradeRejection>,
) -> Response {
    let Ok(upgrade) = upgrade else {
        return StatusCode::UPGRADE_REQUIRED.into_response();
    };
    let named = headers.get(header::SEC_WEBSOCKET_PROTOCOL).and_then(|value| value.to_str().ok());
    if !named.is_some_and(|named| named.split(',').any(|one| one.trim() == SUBPROTOCOL)) {
        return StatusCode::BAD_REQUEST.into_response();
    }
    let Some(seat) = Seat::take(&shared.sockets) else {
        return StatusCode::SERVICE_UNAVAILABLE.into_response();
    };
    let upgrade = upgrade.protocols([SUBPROTOCOL]);
    let upgrade = upgrade.max_message_size(MOST_BYTES).max_frame_size(MOST_BYTES);
    upgrade.on_upgrade(move |socket| async move {
        socket::talk(socket, shared.hub, shared.door, shared.ended).await;
        drop(seat);
    })
}

/// One of the connections that there may be.
struct Seat(Arc<AtomicUsize>);

impl Seat {
    fn take(taken: &Arc<AtomicUsize>) -> Option<Self> {
        if taken.fetch_add(1, Ordering::Relaxed) < MOST_TABS {
            return Some(Self(taken.clone()));
        }
        taken.fetch_sub(1, Ordering::Relaxed);
        None
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}
