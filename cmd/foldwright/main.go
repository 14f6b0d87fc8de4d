package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/alecthomas/kong"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	// Whoever asks twice does not want to wait: the second signal kills.
	context.AfterFunc(ctx, stop)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// Exit codes. What the design is to blame for is told apart from what the
// command is.
const (
	exitOK          = 0
	exitFailed      = 1
	exitBadDocument = 2 // the design cannot be read; nothing was made
	exitBadDesign   = 3 // made, but the design has findings that are errors
)

// exit is an error with a code of its own, already told about.
type exit int

func (e exit) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

type commands struct {
	Serve   serveCommand   `cmd:"" help:"Serve the HTTP API."`
	Make    makeCommand    `cmd:"" help:"Write the pattern, the motion, the findings, pictures and a model of one design. Exit code 2: the design has faults; 3: it was made but has errors."`
	Migrate migrateCommand `cmd:"" help:"Bring the database to this release and stop."`
	Backup  backupCommand  `cmd:"" help:"Write everything into one file, while the service goes on; or prove such a file."`
	Restore restoreCommand `cmd:"" help:"Put a backup into an empty database, of either kind."`
	Export  exportCommand  `cmd:"" help:"Write the designs of a workspace into one archive that anything can read."`
	Import  importCommand  `cmd:"" help:"Take such an archive into a workspace."`
	Key     keyCommand     `cmd:"" help:"Make, list and revoke keys."`
	Health  healthCommand  `cmd:"" help:"Ask the service on this machine whether it is ready. Exit code 1: it is not."`
	Version versionCommand `cmd:"" help:"Tell the release."`
}

// streams are where a command writes.
type streams struct{ out, err io.Writer }

// run is the whole program but the process around it.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) (code int) {
	defer func() {
		// Kong ends the process after --help; here it only ends the run.
		if cause := recover(); cause != nil {
			ended, ok := cause.(exit)
			if !ok {
				panic(cause)
			}
			code = int(ended)
		}
	}()
	parser, err := kong.New(&commands{},
		kong.Name("foldwright"),
		kong.Description("Solves paper pop-up mechanisms: motion, checks and cutting patterns."),
		kong.UsageOnError(),
		kong.Writers(stdout, stderr),
		kong.Exit(func(code int) { panic(exit(code)) }),
		kong.BindTo(ctx, (*context.Context)(nil)),
		kong.Bind(streams{stdout, stderr}),
	)
	if err != nil {
		fmt.Fprintln(stderr, "foldwright:", err)
		return exitFailed
	}
	command, err := parser.Parse(args)
	if err == nil {
		err = command.Run()
	}
	var told exit
	switch {
	case err == nil:
		return exitOK
	case errors.As(err, &told):
		return int(told)
	default:
		fmt.Fprintln(stderr, "foldwright:", err)
		return exitFailed
	}
}
