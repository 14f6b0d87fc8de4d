package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// writeNew writes a file that must not be there yet, for the current user only.
// Under its name it is whole or not at all, whenever the machine stops.
func writeNew(path string, write func(*os.File) error) (err error) {
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(err, fmt.Errorf("%s is there already; name a new file", path))
	}
	temporary, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer func() { _ = os.Remove(temporary.Name()) }() // does nothing once it has its name
	err = write(temporary)
	if err == nil {
		err = temporary.Sync()
	}
	if err := errors.Join(err, temporary.Close()); err != nil {
		return err
	}
	if err := giveName(temporary.Name(), path); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

// giveName fails when somebody else was quicker with the name. File systems
// that have no links, as of memory sticks, look just before.
func giveName(temporary, path string) error {
	err := os.Link(temporary, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s is there already; name a new file", path)
	}
	return os.Rename(temporary, path)
}

// syncDir makes a name survive a power cut, where folders can be synced.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	_ = d.Sync()
	return d.Close()
}
