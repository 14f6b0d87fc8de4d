package postgres

import _ "embed"

var (
	//go:embed queries/design.sql
	designSQL string
	//go:embed queries/lock_design.sql
	lockDesignSQL string
	//go:embed queries/designs.sql
	designsSQL string
	//go:embed queries/designs_tagged.sql
	designsTaggedSQL string
	//go:embed queries/insert_design.sql
	insertDesignSQL string
	//go:embed queries/update_design.sql
	updateDesignSQL string
	//go:embed queries/set_deleted.sql
	setDeletedSQL string
	//go:embed queries/version.sql
	versionSQL string
	//go:embed queries/version_hash.sql
	versionHashSQL string
	//go:embed queries/versions.sql
	versionsSQL string
	//go:embed queries/insert_version.sql
	insertVersionSQL string
	//go:embed queries/claim_key.sql
	claimKeySQL string
	//go:embed queries/key_use.sql
	keyUseSQL string
	//go:embed queries/ping.sql
	pingSQL string
	//go:embed queries/table_exists.sql
	tableExistsSQL string
	//go:embed queries/server.sql
	serverSQL string
)
