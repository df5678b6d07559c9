package visit

import (
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"sync"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib"
	"github.com/stretchr/testify/require"
)

// cluster is a PostgreSQL server of the tests' own: in a temporary folder, on a socket in it, no
// network. It is started when the first test asks and stopped at the end.
var cluster struct {
	sync.Once
	bin, dir string
	err      error
}

// asServer runs a tool of the server, which refuses to run as root.
func asServer(name string, args ...string) error {
	args = append([]string{filepath.Join(cluster.bin, name)}, args...)
	if os.Getuid() == 0 {
		args = append([]string{"runuser", "-u", "nobody", "--"}, args...)
	}
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Dir = cluster.dir
	log, err := os.CreateTemp(cluster.dir, "log-*") // no pipe: the server would hold it open
	if err != nil {
		return err
	}
	defer log.Close()
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Run(); err != nil {
		said, _ := os.ReadFile(log.Name())
		return fmt.Errorf("%s: %w: %s", name, err, said)
	}
	return nil
}

func startCluster() error {
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if err != nil || len(found) == 0 {
		return nil
	}
	sort.Strings(found)
	cluster.bin = filepath.Dir(found[len(found)-1])
	if cluster.dir, err = os.MkdirTemp("", "pg-"); err != nil {
		return err
	}
	if err := os.Chmod(cluster.dir, 0o777); err != nil { // the server is somebody else when we are root
		return err
	}
	data := filepath.Join(cluster.dir, "data")
	if err := asServer("initdb", "-D", data, "-U", "office", "-A", "trust", "-E", "UTF8", "--locale=C", "-N"); err != nil {
		return err
	}
	return asServer("pg_ctl", "-D", data, "-w", "-t", "30", "-l", filepath.Join(cluster.dir, "server.log"),
		"-o", fmt.Sprintf("-c listen_addresses='' -c unix_socket_directories='%s' -c fsync=off", cluster.dir), "start")
}

func stopCluster() {
	if cluster.dir == "" {
		return
	}
	if err := asServer("pg_ctl", "-D", filepath.Join(cluster.dir, "data"), "-m", "immediate", "-w", "stop"); err != nil {
		fmt.Fprintln(os.Stderr, err)
	}
	_ = os.RemoveAll(cluster.dir)
}

// openOffice is an empty store on the server; it skips where there is none.
func openOffice(t *testing.T) *Postgres {
	if testing.Short() {
		t.Skip("-short")
	}
	cluster.Do(func() { cluster.err = startCluster() })
	require.NoError(t, cluster.err)
	if cluster.dir == "" {
		t.Skip("no PostgreSQL server is installed")
	}
	db, err := sql.Open("pgx", fmt.Sprintf("host=%s user=office dbname=postgres", cluster.dir))
	require.NoError(t, err)
	t.Cleanup(func() { _ = db.Close() })
	_, err = db.Exec("DROP SCHEMA public CASCADE; CREATE SCHEMA public")
	require.NoError(t, err)
	s, err := OpenPostgres(ctx, db, "the tests' office")
	require.NoError(t, err)
	return s
}
