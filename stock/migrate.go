package stock

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
)

// migrations make each form of the file out of the one before, in the order of their
// names. One that was released is never changed, nor does another come before it.
//
//go:embed migrations/*.sql
var migrations embed.FS

// Version is the form of the file that this program writes.
func Version() int {
	all, _ := migrations.ReadDir("migrations") // of the program itself: cannot fail
	return len(all)
}

// prepare brings the file to the form of this program, or makes sure that it has it.
func (s *Store) prepare(ctx context.Context, reading bool) error {
	v, err := s.version(ctx, s.db)
	if err != nil {
		return err
	}
	if v > Version() {
		return &NewerError{s.path, v}
	}
	if reading && v < Version() {
		return &FileError{Path: s.path, Why: fmt.Sprintf("has the older form %d, and is only read", v),
			Fix: "change something in it first, as with `pluckweigh stock edit`, which brings it up to date"}
	}
	for v < Version() {
		if v, err = s.migrate(ctx); err != nil {
			return err
		}
	}
	return nil
}

// querier is a connection or a transaction.
type querier interface {
	QueryContext(context.Context, string, ...any) (*sql.Rows, error)
	QueryRowContext(context.Context, string, ...any) *sql.Row
}

// version is the form of the file, 0 of a new one.
func (s *Store) version(ctx context.Context, q querier) (v int, err error) {
	var id, tables int
	err = q.QueryRowContext(ctx, "SELECT user_version, application_id, (SELECT count(*) FROM sqlite_schema) FROM pragma_user_version, pragma_application_id").Scan(&v, &id, &tables)
	if err == nil && id != applicationID && (id != 0 || tables > 0) {
		err = &FileError{Path: s.path, Why: "belongs to another program", Fix: "name another file with --stock"}
	}
	return v, err
}

// migrate takes the file one form further, and returns which it has then: another
// program may have done so meanwhile.
func (s *Store) migrate(ctx context.Context) (v int, err error) {
	err = s.change(ctx, func(tx *sql.Tx) error {
		if v, err = s.version(ctx, tx); err != nil || v >= Version() {
			return err
		}
		all, err := migrations.ReadDir("migrations") // in the order of names
		if err != nil {
			return err
		}
		text, err := migrations.ReadFile("migrations/" + all[v].Name())
		if err != nil {
			return err
		}
		v++
		_, err = tx.ExecContext(ctx, fmt.Sprintf("%s;\nPRAGMA user_version = %d;\nPRAGMA application_id = %d;", text, v, applicationID))
		return err
	})
	return v, err
}
