package pgtest

import "syscall"

// withParent ends a process when this one ends, however it ends: a test that
// runs into its time limit panics past every cleanup.
func withParent() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Pdeathsig: syscall.SIGQUIT}
}
