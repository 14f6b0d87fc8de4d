package pgtest

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
)

const (
	startTimeout = time.Minute
	stopTimeout  = 20 * time.Second
)

// findBinaries returns the folder of an installed server, the newest first.
func findBinaries() (folder string, ok bool) {
	candidates := installed()
	if initdb, err := exec.LookPath("initdb"); err == nil {
		// A package may put a link into PATH, and only some of its programs.
		if real, err := filepath.EvalSymlinks(initdb); err == nil {
			candidates = slices.Insert(candidates, 0, filepath.Dir(real))
		}
	}
	for _, folder := range candidates {
		if executable(filepath.Join(folder, "initdb")) && executable(filepath.Join(folder, "postgres")) {
			return folder, true
		}
	}
	return "", false
}

func installed() []string {
	folders, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	if err != nil {
		return nil
	}
	version := func(folder string) int {
		n, _ := strconv.Atoi(filepath.Base(filepath.Dir(folder)))
		return n
	}
	slices.SortFunc(folders, func(a, b string) int { return version(b) - version(a) })
	return folders
}

func executable(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.IsDir() && info.Mode()&0o111 != 0
}

// local is a server of programs found on the machine, with its data in a folder.
type local struct {
	binaries, folder string
	url              *url.URL
	attributes       *syscall.SysProcAttr
	command          *exec.Cmd
	exited           <-chan struct{}
}

// startLocal runs a server on a loopback port, in a temporary folder.
func startLocal(binaries string) (_ server, err error) {
	folder, err := os.MkdirTemp("", "foldwright-postgres-")
	if err != nil {
		return server{}, err
	}
	l, err := newLocal(binaries, folder)
	if err == nil {
		err = l.start()
	}
	if err != nil {
		return server{}, errors.Join(err, os.RemoveAll(folder))
	}
	stop := func() error { return errors.Join(stopProcess(l.command, l.exited), os.RemoveAll(folder)) }
	return server{url: l.url, stop: stop}, nil
}

// newLocal fills a folder with an empty server's data.
func newLocal(binaries, folder string) (*local, error) {
	password := rand.Text()
	passwordFile := filepath.Join(folder, "password")
	if err := os.WriteFile(passwordFile, []byte(password), 0o600); err != nil {
		return nil, err
	}
	attributes, err := runAs(folder, passwordFile)
	if err != nil {
		return nil, err
	}
	port, err := freePort()
	if err != nil {
		return nil, err
	}
	l := &local{binaries: binaries, folder: folder, attributes: attributes, url: &url.URL{
		Scheme:   "postgres",
		User:     url.UserPassword("foldwright", password),
		Host:     net.JoinHostPort("127.0.0.1", strconv.Itoa(port)),
		Path:     "/postgres",
		RawQuery: "sslmode=disable",
	}}
	initdb := exec.Command(filepath.Join(binaries, "initdb"),
		"--pgdata", l.data(), "--username", "foldwright", "--pwfile", passwordFile,
		"--auth", "scram-sha-256", "--encoding", "UTF8", "--locale", "C", "--no-sync")
	initdb.Dir, initdb.SysProcAttr = folder, attributes
	if said, err := initdb.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("pgtest: initdb: %w\n%s", err, said)
	}
	return l, nil
}

func (l *local) data() string { return filepath.Join(l.folder, "data") }

// start runs the server and waits until it answers.
func (l *local) start(settings ...string) error {
	log, err := os.Create(filepath.Join(l.folder, "log"))
	if err != nil {
		return err
	}
	defer log.Close()
	l.command = exec.Command(filepath.Join(l.binaries, "postgres"), append([]string{"-D", l.data(),
		"-c", "listen_addresses=127.0.0.1", "-c", "port=" + l.url.Port(),
		"-c", "unix_socket_directories=", "-c", "max_connections=200",
		// The data dies with the tests, so it need not survive a power cut.
		"-c", "fsync=off", "-c", "full_page_writes=off"}, settings...)...)
	l.command.Dir, l.command.SysProcAttr = l.folder, l.attributes
	l.command.Stdout, l.command.Stderr = log, log
	if l.exited, err = startAndWatch(l.command); err != nil {
		return err
	}
	if err := awaitServer(l.url.String(), l.exited); err != nil {
		said, _ := os.ReadFile(log.Name())
		return errors.Join(fmt.Errorf("pgtest: start the server: %w\n%s", err, said), stopProcess(l.command, l.exited))
	}
	return nil
}

// startAndWatch starts a process that ends with this one, and returns a
// channel that is closed when it has ended.
func startAndWatch(command *exec.Cmd) (<-chan struct{}, error) {
	started, exited := make(chan error), make(chan struct{})
	go func() {
		// Where the system ends a child with its parent, parent means the
		// thread that started it; this one stays until the child is gone.
		runtime.LockOSThread()
		err := command.Start()
		started <- err
		if err == nil {
			command.Wait() // how it ended is in its log
			close(exited)
		}
	}()
	return exited, <-started
}

// stopProcess asks for a fast shutdown, which cuts off the sessions that are
// left, and insists after a while.
func stopProcess(command *exec.Cmd, exited <-chan struct{}) error {
	select {
	case <-exited:
		return nil
	default:
	}
	if err := command.Process.Signal(syscall.SIGINT); err != nil {
		return err
	}
	select {
	case <-exited:
		return nil
	case <-time.After(stopTimeout):
		command.Process.Kill()
		<-exited
		return errors.New("the server had to be killed")
	}
}

func awaitServer(address string, exited <-chan struct{}) error {
	ctx, cancel := context.WithTimeout(context.Background(), startTimeout)
	defer cancel()
	for {
		conn, err := pgx.Connect(ctx, address)
		if err == nil {
			return conn.Close(ctx)
		}
		select {
		case <-exited:
			return errors.New("it ended at once")
		case <-ctx.Done():
			return err
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// freePort is free when it is looked for; a server that finds it taken a
// moment later ends at once, with an error that says so.
func freePort() (int, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port, nil
}
