// Code generated from the interfaces of package storage; DO NOT EDIT.

package observed

import (
	"context"
	"time"

	"foldwright/storage"
)

func (x *database) Backlog(ctx context.Context) (out0 storage.Backlog, err error) {
	ctx, end := x.watch(ctx, "Backlog")
	defer func() { end(err) }()
	return x.Database.Backlog(ctx)
}

func (x *database) ClaimDelivery(ctx context.Context, in1 time.Duration) (out0 storage.DeliveryClaim, err error) {
	ctx, end := x.watch(ctx, "ClaimDelivery")
	defer func() { end(err) }()
	return x.Database.ClaimDelivery(ctx, in1)
}

func (x *database) ClaimJob(ctx context.Context, in1 time.Duration) (out0 storage.JobClaim, err error) {
	ctx, end := x.watch(ctx, "ClaimJob")
	defer func() { end(err) }()
	return x.Database.ClaimJob(ctx, in1)
}

func (x *database) CountJobs(ctx context.Context) (out0 []storage.JobCount, err error) {
	ctx, end := x.watch(ctx, "CountJobs")
	defer func() { end(err) }()
	return x.Database.CountJobs(ctx)
}

func (x *database) EndDelivery(ctx context.Context, in1 storage.DeliveryClaim, in2 storage.DeliveryOutcome) (err error) {
	ctx, end := x.watch(ctx, "EndDelivery")
	defer func() { end(err) }()
	return x.Database.EndDelivery(ctx, in1, in2)
}

func (x *database) EndJob(ctx context.Context, in1 storage.JobClaim, in2 storage.JobOutcome) (err error) {
	ctx, end := x.watch(ctx, "EndJob")
	defer func() { end(err) }()
	return x.Database.EndJob(ctx, in1, in2)
}

func (x *database) HasKey(ctx context.Context) (out0 bool, err error) {
	ctx, end := x.watch(ctx, "HasKey")
	defer func() { end(err) }()
	return x.Database.HasKey(ctx)
}

func (x *database) HasOrigin(ctx context.Context, in1 string) (out0 bool, err error) {
	ctx, end := x.watch(ctx, "HasOrigin")
	defer func() { end(err) }()
	return x.Database.HasOrigin(ctx, in1)
}

func (x *database) KeepJob(ctx context.Context, in1 storage.JobClaim, in2 storage.JobProgress, in3 time.Duration) (err error) {
	ctx, end := x.watch(ctx, "KeepJob")
	defer func() { end(err) }()
	return x.Database.KeepJob(ctx, in1, in2, in3)
}

func (x *database) Ping(ctx context.Context) (err error) {
	ctx, end := x.watch(ctx, "Ping")
	defer func() { end(err) }()
	return x.Database.Ping(ctx)
}

func (x *database) Purge(ctx context.Context, in1 int) (out0 int, err error) {
	ctx, end := x.watch(ctx, "Purge")
	defer func() { end(err) }()
	return x.Database.Purge(ctx, in1)
}

func (x *database) ReleaseDelivery(ctx context.Context, in1 storage.DeliveryClaim) (err error) {
	ctx, end := x.watch(ctx, "ReleaseDelivery")
	defer func() { end(err) }()
	return x.Database.ReleaseDelivery(ctx, in1)
}

func (x *database) ReleaseJob(ctx context.Context, in1 storage.JobClaim) (err error) {
	ctx, end := x.watch(ctx, "ReleaseJob")
	defer func() { end(err) }()
	return x.Database.ReleaseJob(ctx, in1)
}

func (x *database) Share(ctx context.Context, in1 string) (out0 storage.Share, err error) {
	ctx, end := x.watch(ctx, "Share")
	defer func() { end(err) }()
	return x.Database.Share(ctx, in1)
}

func (x *database) SweepDeliveries(ctx context.Context) (err error) {
	ctx, end := x.watch(ctx, "SweepDeliveries")
	defer func() { end(err) }()
	return x.Database.SweepDeliveries(ctx)
}

func (x *database) SweepJobs(ctx context.Context, in1 []uint8) (out0 []storage.Job, err error) {
	ctx, end := x.watch(ctx, "SweepJobs")
	defer func() { end(err) }()
	return x.Database.SweepJobs(ctx, in1)
}

func (x *database) UseKey(ctx context.Context, in1 string) (out0 storage.Key, err error) {
	ctx, end := x.watch(ctx, "UseKey")
	defer func() { end(err) }()
	return x.Database.UseKey(ctx, in1)
}

func (x *database) Workspaces(ctx context.Context) (out0 []string, err error) {
	ctx, end := x.watch(ctx, "Workspaces")
	defer func() { end(err) }()
	return x.Database.Workspaces(ctx)
}

func (x *store) AddHook(ctx context.Context, in1 storage.NewHook) (out0 storage.Hook, err error) {
	ctx, end := x.watch(ctx, "AddHook")
	defer func() { end(err) }()
	return x.Store.AddHook(ctx, in1)
}

func (x *store) AddJob(ctx context.Context, in1 storage.NewJob, in2 storage.IdempotencyKey) (out0 storage.Job, out1 bool, err error) {
	ctx, end := x.watch(ctx, "AddJob")
	defer func() { end(err) }()
	return x.Store.AddJob(ctx, in1, in2)
}

func (x *store) AddKey(ctx context.Context, in1 storage.NewKey) (out0 storage.Key, err error) {
	ctx, end := x.watch(ctx, "AddKey")
	defer func() { end(err) }()
	return x.Store.AddKey(ctx, in1)
}

func (x *store) AddShare(ctx context.Context, in1 string, in2 storage.NewShare) (out0 storage.Share, err error) {
	ctx, end := x.watch(ctx, "AddShare")
	defer func() { end(err) }()
	return x.Store.AddShare(ctx, in1, in2)
}

func (x *store) AddVersion(ctx context.Context, in1 string, in2 int, in3 storage.NewVersion, in4 storage.IdempotencyKey) (out0 storage.Design, out1 storage.Version, out2 bool, err error) {
	ctx, end := x.watch(ctx, "AddVersion")
	defer func() { end(err) }()
	return x.Store.AddVersion(ctx, in1, in2, in3, in4)
}

func (x *store) CancelJob(ctx context.Context, in1 string) (out0 storage.Job, err error) {
	ctx, end := x.watch(ctx, "CancelJob")
	defer func() { end(err) }()
	return x.Store.CancelJob(ctx, in1)
}

func (x *store) ChangeHook(ctx context.Context, in1 string, in2 storage.HookChange) (out0 storage.Hook, err error) {
	ctx, end := x.watch(ctx, "ChangeHook")
	defer func() { end(err) }()
	return x.Store.ChangeHook(ctx, in1, in2)
}

func (x *store) Create(ctx context.Context, in1 storage.NewVersion, in2 storage.IdempotencyKey) (out0 storage.Design, out1 storage.Version, out2 bool, err error) {
	ctx, end := x.watch(ctx, "Create")
	defer func() { end(err) }()
	return x.Store.Create(ctx, in1, in2)
}

func (x *store) Delete(ctx context.Context, in1 string, in2 int) (err error) {
	ctx, end := x.watch(ctx, "Delete")
	defer func() { end(err) }()
	return x.Store.Delete(ctx, in1, in2)
}

func (x *store) DeleteHook(ctx context.Context, in1 string) (err error) {
	ctx, end := x.watch(ctx, "DeleteHook")
	defer func() { end(err) }()
	return x.Store.DeleteHook(ctx, in1)
}

func (x *store) Deliveries(ctx context.Context, in1 string, in2 storage.VersionQuery) (out0 storage.DeliveryPage, err error) {
	ctx, end := x.watch(ctx, "Deliveries")
	defer func() { end(err) }()
	return x.Store.Deliveries(ctx, in1, in2)
}

func (x *store) DropLabel(ctx context.Context, in1 string, in2 int, in3 string) (err error) {
	ctx, end := x.watch(ctx, "DropLabel")
	defer func() { end(err) }()
	return x.Store.DropLabel(ctx, in1, in2, in3)
}

func (x *store) Export(ctx context.Context, in1 storage.Visit) (err error) {
	ctx, end := x.watch(ctx, "Export")
	defer func() { end(err) }()
	return x.Store.Export(ctx, in1)
}

func (x *store) Get(ctx context.Context, in1 string) (out0 storage.Design, err error) {
	ctx, end := x.watch(ctx, "Get")
	defer func() { end(err) }()
	return x.Store.Get(ctx, in1)
}

func (x *store) Head(ctx context.Context, in1 string) (out0 storage.Design, err error) {
	ctx, end := x.watch(ctx, "Head")
	defer func() { end(err) }()
	return x.Store.Head(ctx, in1)
}

func (x *store) Hook(ctx context.Context, in1 string) (out0 storage.Hook, err error) {
	ctx, end := x.watch(ctx, "Hook")
	defer func() { end(err) }()
	return x.Store.Hook(ctx, in1)
}

func (x *store) Hooks(ctx context.Context) (out0 []storage.Hook, err error) {
	ctx, end := x.watch(ctx, "Hooks")
	defer func() { end(err) }()
	return x.Store.Hooks(ctx)
}

func (x *store) Import(ctx context.Context, in1 storage.Design, in2 storage.VersionOf, in3 bool) (out0 bool, err error) {
	ctx, end := x.watch(ctx, "Import")
	defer func() { end(err) }()
	return x.Store.Import(ctx, in1, in2, in3)
}

func (x *store) Job(ctx context.Context, in1 string) (out0 storage.Job, err error) {
	ctx, end := x.watch(ctx, "Job")
	defer func() { end(err) }()
	return x.Store.Job(ctx, in1)
}

func (x *store) JobResult(ctx context.Context, in1 string) (out0 storage.Job, out1 []uint8, err error) {
	ctx, end := x.watch(ctx, "JobResult")
	defer func() { end(err) }()
	return x.Store.JobResult(ctx, in1)
}

func (x *store) Jobs(ctx context.Context, in1 storage.VersionQuery) (out0 storage.JobPage, err error) {
	ctx, end := x.watch(ctx, "Jobs")
	defer func() { end(err) }()
	return x.Store.Jobs(ctx, in1)
}

func (x *store) Keys(ctx context.Context) (out0 []storage.Key, err error) {
	ctx, end := x.watch(ctx, "Keys")
	defer func() { end(err) }()
	return x.Store.Keys(ctx)
}

func (x *store) List(ctx context.Context, in1 storage.Query) (out0 storage.Page, err error) {
	ctx, end := x.watch(ctx, "List")
	defer func() { end(err) }()
	return x.Store.List(ctx, in1)
}

func (x *store) PingHook(ctx context.Context, in1 string) (out0 storage.Delivery, err error) {
	ctx, end := x.watch(ctx, "PingHook")
	defer func() { end(err) }()
	return x.Store.PingHook(ctx, in1)
}

func (x *store) Replay(ctx context.Context, in1 string, in2 string) (out0 storage.Delivery, err error) {
	ctx, end := x.watch(ctx, "Replay")
	defer func() { end(err) }()
	return x.Store.Replay(ctx, in1, in2)
}

func (x *store) Restore(ctx context.Context, in1 string) (out0 storage.Design, out1 storage.Version, err error) {
	ctx, end := x.watch(ctx, "Restore")
	defer func() { end(err) }()
	return x.Store.Restore(ctx, in1)
}

func (x *store) RevokeKey(ctx context.Context, in1 string) (err error) {
	ctx, end := x.watch(ctx, "RevokeKey")
	defer func() { end(err) }()
	return x.Store.RevokeKey(ctx, in1)
}

func (x *store) RevokeShare(ctx context.Context, in1 string, in2 string) (err error) {
	ctx, end := x.watch(ctx, "RevokeShare")
	defer func() { end(err) }()
	return x.Store.RevokeShare(ctx, in1, in2)
}

func (x *store) SetLabel(ctx context.Context, in1 string, in2 int, in3 string) (err error) {
	ctx, end := x.watch(ctx, "SetLabel")
	defer func() { end(err) }()
	return x.Store.SetLabel(ctx, in1, in2, in3)
}

func (x *store) Shares(ctx context.Context, in1 string) (out0 []storage.Share, err error) {
	ctx, end := x.watch(ctx, "Shares")
	defer func() { end(err) }()
	return x.Store.Shares(ctx, in1)
}

func (x *store) Usage(ctx context.Context) (out0 storage.Usage, err error) {
	ctx, end := x.watch(ctx, "Usage")
	defer func() { end(err) }()
	return x.Store.Usage(ctx)
}

func (x *store) Version(ctx context.Context, in1 string, in2 int) (out0 storage.Version, err error) {
	ctx, end := x.watch(ctx, "Version")
	defer func() { end(err) }()
	return x.Store.Version(ctx, in1, in2)
}

func (x *store) Versions(ctx context.Context, in1 string, in2 storage.VersionQuery) (out0 storage.VersionPage, err error) {
	ctx, end := x.watch(ctx, "Versions")
	defer func() { end(err) }()
	return x.Store.Versions(ctx, in1, in2)
}
