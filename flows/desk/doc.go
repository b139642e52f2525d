// Package desk says what happens next at the desk: the chats of strangers and
// staff, their forms, the practice with its people, codes and rota, and what a
// card shows. It is as pure as flows:
//
//	Next(Practice, Chat, Event) (Chat, []Effect)
//	NextPractice(Practice, Event) (Practice, []Effect)
//
// Both are total: any event in any state, no error, no panic, and their
// arguments are not modified. Nothing here decides about a patient: a staff
// act leaves as an Order, and the patient's own flow checks it again.
package desk
