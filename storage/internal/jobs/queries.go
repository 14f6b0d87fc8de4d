package jobs

import _ "embed"

var (
	//go:embed queries/insert.sql
	insertSQL string
	//go:embed queries/by_key.sql
	byKeySQL string
	//go:embed queries/count_kept.sql
	countKeptSQL string
	//go:embed queries/job.sql
	jobSQL string
	//go:embed queries/result.sql
	resultSQL string
	//go:embed queries/page.sql
	pageSQL string
	//go:embed queries/cancel.sql
	cancelSQL string
	//go:embed queries/waiting.sql
	waitingSQL string
	//go:embed queries/claim.sql
	claimSQL string
	//go:embed queries/keep.sql
	keepSQL string
	//go:embed queries/end.sql
	endSQL string
	//go:embed queries/release.sql
	releaseSQL string
	//go:embed queries/give_up.sql
	giveUpSQL string
	//go:embed queries/forget.sql
	forgetSQL string
	//go:embed queries/counts.sql
	countsSQL string
)
