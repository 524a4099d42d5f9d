//! One page's connection.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::ws::{CloseFrame, Message, WebSocket, close_code};
use futures_util::{SinkExt as _, StreamExt as _};
use tokio::sync::watch;
use tokio::time::timeout;

use crate::door::Door;
use crate::hub::Hub;
use crate::message::Asked;
use crate::outbox::Frame;
use crate::share::over;

/// How long a page may take to say who it is.
const HELLO_WITHIN: Duration = Duration::from_secs(5);

/// How long the last word to a page may take.
const BYE_WITHIN: Duration = Duration::from_millis(500);

/// Talks to a page until it goes, or it is over.
pub async fn talk(
    mut socket: WebSocket,
    hub: Arc<Hub>,
    door: Door,
    mut ended: watch::Receiver<bool>,
) {
    let hello = timeout(HELLO_WITHIN, socket.recv()).await;
    let asked = match &hello {
        Ok(Some(Ok(Message::Text(text)))) => Asked::read(text).ok(),
        _ => None,
    };
    let Some(Asked::Hello { key, tab, language, secret }) = asked else {
        return close(socket, close_code::POLICY, "say hello first").await;
    };
    let guest = match door.lets_in(&key, &secret) {
        Ok(guest) => guest,
        Err(why) => return close(socket, close_code::POLICY, why).await,
    };
    let Some((number, outbox)) = hub.enter(&tab, language.into(), guest.clone()) else {
        return close(socket, close_code::AGAIN, "too many pages are open").await;
    };
    let (mut to_page, mut from_page) = socket.split();
    let send = async {
        loop {
            let message = match outbox.next().await {
                Frame::Text(text) => Message::Text(text),
                Frame::Binary(bytes) => Message::Binary(bytes),
            };
            if to_page.send(message).await.is_err() {
                break;
            }
        }
    };
    let receive = async {
        while let Some(Ok(message)) = from_page.next().await {
            let asked = match message {
                Message::Text(text) => Asked::read(&text),
                Message::Binary(bytes) => {
                    let hub = hub.clone();
                    // The last piece of a picture is followed by its decoding.
                    let done = tokio::task::spawn_blocking(move || hub.piece(number, &bytes));
                    if done.await.is_err() {
                        break;
                    }
                    continue;
                }
                Message::Close(_) => break,
                Message::Ping(_) | Message::Pong(_) => continue,
            };
            // An edit reads the plan and writes the disk.
            let hub = hub.clone();
            let done = tokio::task::spawn_blocking(move || match asked {
                Ok(asked) => hub.take(number, asked),
                Err(why) => hub.refuse(number, &why),
            });
            if done.await.is_err() {
                break;
            }
        }
    };
    let is_over = tokio::select! {
        biased;
        () = over(&mut ended) => true,
        () = send => false,
        () = receive => false,
    };
    hub.leave(number);
    if is_over {
        let (code, reason) = match guest {
            Some(_) => (close_code::POLICY, "this key was withdrawn"),
            None => (close_code::AWAY, "the program ends"),
        };
        let frame = CloseFrame { code, reason: reason.into() };
        let _ = timeout(BYE_WITHIN, to_page.send(Message::Close(Some(frame)))).await;
    }
}

async fn close(mut socket: WebSocket, code: u16, why: &'static str) {
    let frame = CloseFrame { code, reason: why.into() };
    let _ = socket.send(Message::Close(Some(frame))).await;
}
