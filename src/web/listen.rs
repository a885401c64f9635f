//! Connections: how many, and how long one may take to say what it wants.

use std::net::SocketAddr;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::Request;
use futures_util::future::{Either, select};
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::oneshot;

use super::guard::Peer;
use super::pace::Pace;
use super::room::Room;

/// No connection is kept for longer; a screen that is told of steps asks again.
const LONGEST: Duration = Duration::from_secs(600);

/// How long it is waited where no connection can be taken, such as for want of files.
const BREATH: Duration = Duration::from_millis(50);

/// Answers whoever comes, until it is told to stop.
pub(super) async fn listen(
    listener: TcpListener,
    router: Router,
    (pace, room): (Pace, Room),
    stop: oneshot::Receiver<()>,
) {
    let room = Arc::new(room);
    let mut stop = pin!(stop);
    loop {
        let come = match select(pin!(listener.accept()), stop.as_mut()).await {
            Either::Left((come, _)) => come,
            Either::Right(_) => return,
        };
        let Ok((stream, peer)) = come else {
            tokio::time::sleep(BREATH).await;
            continue;
        };
        // Who comes when there is no room is turned away at once, and comes again.
        let Some(seat) = Room::take(&room, peer.ip().to_canonical()) else { continue };
        let router = router.clone();
        tokio::spawn(async move {
            let _ = tokio::time::timeout(LONGEST, serve(stream, peer, router, pace)).await;
            drop(seat);
        });
    }
}

async fn serve(stream: TcpStream, peer: SocketAddr, router: Router, pace: Pace) {
    let _ = stream.set_nodelay(true);
    let service = TowerToHyperService::new(router);
    let service = service_fn(move |mut request: Request<Incoming>| {
        request.extensions_mut().insert(Peer(peer.ip()));
        service.call(request)
    });
    let mut server = http1::Builder::new();
    server.timer(TokioTimer::new()).header_read_timeout(pace.patience);
    // A line that breaks is the other end's to mend: it asks again.
    let _ = server.serve_connection(TokioIo::new(stream), service).await;
}
