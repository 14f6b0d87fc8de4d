package pgtest

import (
	"errors"
	"os"
	"os/user"
	"strconv"
	"syscall"
)

// runAs returns how to start the server's programs, and hands them the paths
// they need. The server refuses to run as root, so root lends it a user.
func runAs(paths ...string) (*syscall.SysProcAttr, error) {
	attributes := withParent()
	if os.Geteuid() != 0 {
		return attributes, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, err := strconv.ParseUint(u.Uid, 10, 32)
		if err != nil {
			return nil, err
		}
		gid, err := strconv.ParseUint(u.Gid, 10, 32)
		if err != nil {
			return nil, err
		}
		for _, path := range paths {
			if err := os.Chown(path, int(uid), int(gid)); err != nil {
				return nil, err
			}
		}
		attributes.Credential = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
		return attributes, nil
	}
	return nil, errors.New("pgtest: root needs a user named postgres or nobody to run the server")
}
