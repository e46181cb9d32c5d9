package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// quiet keeps values of records out of the server's log, where the role may say so
// (roles.sql lets readers and writers): neither arguments of statements, nor what an error
// says of a row, nor the statement that a coordinator sent to a server. Where it may not,
// the operator's own settings decide.
//
// https://www.postgresql.org/docs/15/runtime-config-logging.html
func quiet(ctx context.Context, c *pgx.Conn) error {
	_, err := c.Exec(ctx, `SELECT set_config(name, quiet, false) FROM (VALUES
			('log_parameter_max_length', '0'), ('log_parameter_max_length_on_error', '0'), ('log_error_verbosity', 'terse')) AS s (name, quiet)
		WHERE CASE WHEN current_setting('server_version_num')::int >= 150000 THEN has_parameter_privilege(name, 'SET')
			ELSE (SELECT rolsuper FROM pg_roles WHERE rolname = current_user) END`)
	return err
}
