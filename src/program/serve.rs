//! Starting to serve: opens the store, binds the address, prints it, stops cleanly.
//! Not here: what is served (`web`), the words of the start lines (`announce`).

use std::net::SocketAddr;
use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;

use anyhow::Context;
use axum::Router;
use tokio::net::TcpListener;

use super::announce::{self, LetsIn, Start};
use super::beside::{Brought, bring_in, open_or_beside};
use super::computer::ThisComputer;
use super::connections;
use super::copies::before_migration;
use super::copies::nightly::Keeper;
use super::copies::place::Place;
use super::disk;
use super::folder::Folder;
use super::options::{At, Listen};
use crate::clock::Clock;
use crate::store::Store;
use crate::store::beside::path_beside;
use crate::web::copies::LeftBeside;
use crate::web::frame::{troubles, troubles_without_data};
use crate::web::known::Known;
use crate::web::reach::{Reach, remember};
use crate::web::{App, router};

/// A server that is bound but not yet running, so that its address is known.
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    app: App,
    open_to_all: bool,
    router: Router,
}

impl Server {
    /// Binds the address for a store that is open.
    pub async fn bind(
        store: Store,
        clock: Clock,
        demo: bool,
        listen: impl Into<Listen>,
    ) -> anyhow::Result<Self> {
        let listen = listen.into();
        let (at, known_as, open_to_all) = (listen.at, listen.known_as, listen.open_to_all);
        let listener = TcpListener::bind(at).await.with_context(|| {
            format!(
                "{at} can't be listened on; another program may hold the port. Try --listen {}:0",
                at.ip()
            )
        })?;
        let address = listener.local_addr()?;
        let reach = Reach::new(address, known_as, Arc::new(ThisComputer));
        let mut app = App::new(store, clock, demo).reached(reach);
        // Nothing in a demo is anybody's.
        let open_to_all = demo || open_to_all;
        if open_to_all {
            app = app.open_to_all();
        }
        Ok(Self {
            address,
            router: router(app.clone()),
            app,
            open_to_all,
            listener,
        })
    }

    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// The address as it is typed into a browser.
    pub fn url(&self) -> String {
        format!("http://{}/", self.address)
    }

    /// From now on pages say when the folder's disk is nearly full.
    pub fn watch_disk(&self, folder: &Folder) {
        disk::watch(self.app.disk.clone(), folder.path().to_owned());
    }

    /// From now on the folder's data is copied each night, and once more into a second place.
    pub async fn keep_copies(&self, folder: &Folder, second_place: Option<&Path>) {
        let keeper = Keeper {
            folder: folder.clone(),
            store: self.app.store.clone(),
            clock: self.app.clock,
            keeping: self.app.keeping.clone(),
            place: second_place.map(Place::at),
        };
        keeper.begin();
        // Nobody's first page is one that can't be drawn.
        keeper.show_a_copy().await;
        keeper.watch();
    }

    /// From now on pages say when something that was kept beside could not be entered.
    fn note_left_beside(&self, brought: &Brought, folder: &Folder) {
        if brought.left.is_empty() {
            return;
        }
        let file = match &brought.kept {
            Some(kept) => kept.clone(),
            None => path_beside(&folder.database()),
        };
        let left = LeftBeside {
            lines: brought.left.len(),
            file: file.display().to_string(),
            is_tried_again: brought.kept.is_none(),
        };
        self.app.keeping.note(|kept| kept.left_beside = Some(left));
    }

    /// Says where it is and what to watch out for, and remembers the address that phones are told
    /// with it.
    pub async fn announce(&self, folder: &Folder, square: bool) -> anyhow::Result<()> {
        let app = &self.app;
        let moved = match app.store.damage() {
            // It is written down nowhere, so that the next start tells it again.
            Some(_) => None,
            None => remember(&app.store, &app.reach, &app.clock).await?,
        };
        let start = Start {
            data: &folder.database(),
            ways: app.reach.ways(),
            moved,
            lets_in: LetsIn::of(&app.store.keys(), self.open_to_all),
            older_copy: app.store.older_copy_put_back(),
            troubles: self.troubles().await,
            square,
        };
        print!("{}", start.lines());
        Ok(())
    }

    /// What is wrong with this computer, its clock and its disks.
    async fn troubles(&self) -> Vec<String> {
        match Known::load(&self.app).await {
            Ok(known) => troubles(&known, &self.app),
            Err(_) => troubles_without_data(&self.app),
        }
    }

    /// Serves until `stop` is done; answers in flight are finished, then the store is closed.
    pub async fn run_until(
        self,
        stop: impl Future<Output = ()> + Send + 'static,
    ) -> anyhow::Result<()> {
        connections::serve(self.listener, self.router, stop).await;
        self.app.store.clone().close().await;
        Ok(())
    }
}

/// `endpost serve`
pub async fn serve(at: &At) -> anyhow::Result<ExitCode> {
    let clock = Clock::of_this_machine();
    let folder = Folder::named(at.data.as_deref())?;
    folder.make()?;
    let _lock = folder.lock()?;
    folder.refuse_a_lost_database()?;
    folder.belongs_to_a_farm()?;
    let store = open_or_beside(&folder, &clock).await?;
    let brought = match store.damage() {
        Some(_) => None,
        None => bring_in(&store, &folder, &clock).await?,
    };
    let server = Server::bind(store, clock, false, at.listen.clone()).await?;
    let stop = asked_to_stop();
    server.watch_disk(&folder);
    let second_place = at.second_place.as_deref();
    server.keep_copies(&folder, second_place).await;
    if let Some(brought) = &brought {
        server.note_left_beside(brought, &folder);
        print!("{}", announce::brought_in(brought));
    }
    server.announce(&folder, at.listen.draws_square()).await?;
    server.run_until(stop).await?;
    println!("Stopped. Everything entered is in the data folder.");
    Ok(ExitCode::SUCCESS)
}

/// Opens the farm's database, saying what to do when it can't be.
pub async fn open(folder: &Folder, clock: &Clock) -> anyhow::Result<Store> {
    let path = folder.database();
    if let Some(made) = before_migration(folder, clock).await? {
        println!("Copy     {}, before the tables change", made.path.display());
    }
    Store::open(&path, clock.now()).await.with_context(|| {
        format!(
            "the database {} can't be opened; look whether the folder can be written to, or choose another with --data DIR",
            path.display()
        )
    })
}

/// Listens from now on for Ctrl-C, and for the signal a service manager sends; the future waits
/// for the first of them. Called before the address is told, so that no early signal is missed.
pub fn asked_to_stop() -> impl Future<Output = ()> + Send + 'static {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let heard = [SignalKind::interrupt(), SignalKind::terminate()].map(signal);
        async move {
            match heard {
                [Ok(mut interrupt), Ok(mut terminate)] => {
                    tokio::select! {
                        _ = interrupt.recv() => {}
                        _ = terminate.recv() => {}
                    }
                }
                // Where no signal can be listened for, the default stands: stopping at once.
                _ => std::future::pending().await,
            }
        }
    }
    #[cfg(not(unix))]
    async {
        // Without a handler the default, stopping at once, is still there.
        let _ = tokio::signal::ctrl_c().await;
    }
}
