package hooks

import _ "embed"

var (
	// AnnounceSQL makes the deliveries of an event; see Announcement.
	//
	//go:embed queries/announce.sql
	AnnounceSQL string
	//go:embed queries/ping.sql
	pingSQL string
	//go:embed queries/lock_workspace.sql
	lockWorkspaceSQL string
	//go:embed queries/count_on.sql
	countOnSQL string
	//go:embed queries/count.sql
	countSQL string
	//go:embed queries/insert.sql
	insertSQL string
	//go:embed queries/hook.sql
	hookSQL string
	//go:embed queries/hooks.sql
	hooksSQL string
	//go:embed queries/change.sql
	changeSQL string
	//go:embed queries/switch_on.sql
	switchOnSQL string
	//go:embed queries/switch_off.sql
	switchOffSQL string
	//go:embed queries/hurry.sql
	hurrySQL string
	//go:embed queries/delete.sql
	deleteSQL string
	//go:embed queries/delivery.sql
	deliverySQL string
	//go:embed queries/page.sql
	pageSQL string
	//go:embed queries/replay.sql
	replaySQL string
	//go:embed queries/unpause.sql
	unpauseSQL string
	//go:embed queries/due.sql
	dueSQL string
	//go:embed queries/claim.sql
	claimSQL string
	//go:embed queries/attempt.sql
	attemptSQL string
	//go:embed queries/settle_hook.sql
	settleHookSQL string
	//go:embed queries/settle_delivery.sql
	settleDeliverySQL string
	//go:embed queries/release_hook.sql
	releaseHookSQL string
	//go:embed queries/release_delivery.sql
	releaseDeliverySQL string
	//go:embed queries/forget.sql
	forgetSQL string
	//go:embed queries/give_up.sql
	giveUpSQL string
	//go:embed queries/backlog.sql
	backlogSQL string
)
