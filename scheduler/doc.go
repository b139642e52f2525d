// Package scheduler runs the flows in time.
//
// Handle takes one event and commits what follows from it. Two thin loops go on
// from what is stored: one turns due timers into events, the other delivers
// what commits have ordered. Wall time and zones live here and nowhere else.
//
//	update / timer / staff act  ->  Handle  ->  one commit  ->  deliver loop  ->  chat
//	                                              |
//	                                              +--> timers  ->  Handle
//
// # Why it is so
//
// Nothing is sent inside a commit. A send whose answer was lost is repeated
// with the same absolute text, for a few minutes where somebody waits for it and
// else for half an hour, a document never; what is urgent is repeated until it is
// confirmed, or too late to matter. Before a repeat the platform is asked
// for the bot's own name, so that an outage does not spend it. A
// leased message that was not settled is sent again, in doubt or not, so only
// documents write a mark before their request: that saves a commit on every reply.
//
// A commit hands its answer over (store.Handoff): what it orders and what may go
// out at once is leased to the caller in the same commit, as far as a try is free,
// so that an answer costs two durable writes and no look at the outbox. Bulk
// always goes through the lanes. A process that dies in between leaves a lease: on
// SQLite the next start ends it, on Redis it runs out in 45 seconds.
//
// While what waited at the platform is taken in after a start, no timer fires and
// only answers go out: what a person wrote meanwhile counts before the reminder
// for it. That ends when the intake is drained, after five minutes at most, or
// where another program keeps the intake from us for a minute.
//
// That a caution reached the chat is an event of the patient (flows.Delivered),
// told before the message is settled: no card says that somebody was told what
// never arrived. A card waits a moment for it, since both go out side by side.
//
// A wait that the platform asks for is kept for a few minutes at the most, and for
// half a minute by what is urgent (store.HoldMost, store.UrgentHold): it may have
// asked for hours, and then it is asked again.
//
// An event that changes nothing of a patient leaves its body, and so its page and
// its revision; the journal has it all the same.
//
// Patients stay off the stack and goroutines are kept (crew.go, and tray.go of
// bot/telegram): a fresh goroutine's stack is copied again and again as it grows,
// which cost a tenth of a reply. flows.Apply works in place for the same reason.
package scheduler
