//go:build unix && !linux

package pgtest

import "syscall"

// withParent can do nothing here: only Linux ends a process with its parent.
func withParent() *syscall.SysProcAttr { return &syscall.SysProcAttr{} }
