// Package scheduler runs the flows in time.
//
// Handle takes one event and commits what follows from it. Two thin loops go on
// from what is stored: one turns due timers into events, the other delivers
// what commits have ordered. Wall time and zones live here and nowhere else.
//
//	update / timer / staff act  ->  Handle  ->  one commit  ->  deliver loop  ->  chat
//	                                              |
//	                                              +--> timers  ->  Handle
package scheduler
