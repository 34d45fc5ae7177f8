//! Requests to end a program: Ctrl-C, Ctrl-Break, a console that is closed, a person who logs off, a machine that is shut down.

use std::io;

use tokio::signal::windows::{
    CtrlBreak, CtrlC, CtrlClose, CtrlLogoff, CtrlShutdown, ctrl_break, ctrl_c, ctrl_close,
    ctrl_logoff, ctrl_shutdown,
};
use tokio::sync::Notify;

/// A Ctrl-C that came as a key, since keys are handed over one by one.
pub(super) static TYPED: Notify = Notify::const_new();

/// Requests that the system tells. It holds the process on until the handler is through.
pub(crate) struct Requests {
    ctrl_c: CtrlC,
    ctrl_break: CtrlBreak,
    close: CtrlClose,
    logoff: CtrlLogoff,
    shutdown: CtrlShutdown,
}

impl Requests {
    /// Watches for them from now on.
    pub(crate) fn watch() -> io::Result<Self> {
        Ok(Self {
            ctrl_c: ctrl_c()?,
            ctrl_break: ctrl_break()?,
            close: ctrl_close()?,
            logoff: ctrl_logoff()?,
            shutdown: ctrl_shutdown()?,
        })
    }

    /// Waits for the next one; `false` if there can be none any more.
    pub(crate) async fn next(&mut self) -> bool {
        let one = tokio::select! {
            () = TYPED.notified() => Some(()),
            one = self.ctrl_c.recv() => one,
            one = self.ctrl_break.recv() => one,
            one = self.close.recv() => one,
            one = self.logoff.recv() => one,
            one = self.shutdown.recv() => one,
        };
        one.is_some()
    }
}
