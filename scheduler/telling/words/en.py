"""English: what is said of a plan, by kind of message. See the package for how a value is put into words.

What to look for where a rule was broken is common practice among painters and finishers, from memory; no single
source.
"""

from __future__ import annotations

from collections.abc import Mapping

_PARTS: Mapping[str, str] = {
    "and": " and ",
    "never": "never",
    "quoted": "“{title}”",
    "one day": "1 day",
    "days": "{days} days",
    "at once": "The {count} steps between follow without a wait.",
    "one at once": "The step between follows without a wait.",
    "as written": "{text}",
}

_SESSION: Mapping[str, str] = {
    "note.part": "part {number} of {count}; part {other} {when}",
    "note.added": "added: {why:message}",
    "note.waits": "waits for {step:step}: {stage:allowed} {when:message}",
    "note.at": "at {time}",
    "note.on": "on {moment:moment}",
    "note.start by": "start by {when}, so that {step:step} does not wait too long",
    "note.start by.coat": "start by {when}, while {step:step} can still be coated over",
    "note.start by.tape": "start by {when}, while the tape still comes off cleanly",
    "note.needs": "needs {item}",
    "note.needs there": "needs {item} (there since {day})",
    "note.needs coming": "needs {item} (comes {day})",
    "note.needs without date": "needs {item} (no date yet)",
    "note.caution": "caution: {text}",
    "note.caution again": "caution as before: {texts}",
    "allowed.end": "has had its time",
    "allowed.touch": "dry to the touch",
    "allowed.dust_free": "free from picking up dust",
    "allowed.handle": "ready to be handled",
    "allowed.sand": "ready to sand",
    "allowed.recoat": "ready for the next coat",
    "allowed.recoat_by": "at the end of its recoat window",
    "allowed.open_until": "at the end of its open time",
    "allowed.paint_over": "ready to paint",
    "allowed.tape": "ready to tape over",
    "allowed.pot_life": "at the end of its pot life",
    "allowed.use": "fit for use",
    "allowed.full": "fully cured",
    "drying.film": "{step:step} ({material}): {rules:list}",
    "drying.part": "{step:step}, part {number} of {of} ({material}): {rules:list}",
    "drying.rule": "{what:listed} until {when}",
    "drying.taken": "{thing}: until {when}, {step:step}",
    "drying.taken for good": "{thing}: nobody knows until when, {step:step}",
    "drying.air": "{room}: {air}, until {when}",
    "not yet.touch": "hands off",
    "not yet.dust_free": "no dust near it",
    "not yet.handle": "not to be handled",
    "not yet.sand": "not to be sanded",
    "not yet.recoat": "no further coat",
    "not yet.paint_over": "not to be painted over",
    "not yet.tape": "not to be taped over",
    "not yet.use": "not to be used",
    "not yet.full": "not to be washed or scrubbed",
}
"""What a session is told: notes below a step, what a film is at a stage, and what may not be done to it before."""

_HELD: Mapping[str, str] = {
    "held.first": "Nothing holds it: it is among the first.",
    "held.fact": "",
    "held.moved": "You moved its session here by hand.",
    "held.delivery": "It waits for the delivery of {item:item}, expected {expected:moment}.",
    "held.follows": "It follows {step:step}, which ends {ended:moment}.",
    "held.wait": "It waits until {until:moment}: so long after {step:step}, which ends {ended:moment}.",
    "held.stage": "It waits until {until:moment}, when {step:step} {stage:held.stage} (applied {ended:moment}).",
    "held.stage.end": "was done",
    "held.stage.touch": "is dry to the touch",
    "held.stage.dust_free": "is dust-free",
    "held.stage.handle": "can be handled",
    "held.stage.sand": "can be sanded",
    "held.stage.recoat": "can be recoated",
    "held.stage.paint_over": "can be painted over",
    "held.stage.tape": "can be taped over",
    "held.stage.use": "can be used",
    "held.stage.full": "is cured through",
    "held.air": "Begun before {until:moment}, it would meet air outside the limits of its material.{because:also}",
    "held.hours": "There is no earlier session.{because:also}",
    "held.hours that": "No earlier session {wanted:all}.{because:also}",
    "wanted.people": "has {people} people",
    "wanted.noise": "allows noise",
    "wanted.room": "is for the room {room}",
    "wanted.one piece": "is long enough",
    "held.nothing": "",
    "held.left alone": "{step:step} must be left alone until {until:moment}.",
    "held.keeps room": "{step:step} keeps the room until {until:moment}.",
    "held.wiped": "The room is wiped free of dust by {until:moment} ({step:step}).",
    "held.hands": "You are doing {step:step} until then.",
    "held.taken": "It takes “{thing}”, which {step:step} has until {until:moment}.",
    "held.thing": "What it needs is busy until then with {step:step}, which comes first.",
    "held.by choice": "It could begin {possible:moment}; it was put here because that takes fewer days on site or "
    "lets a more urgent step go first.",
    "chain.begins": "{step:step} begins {start:moment}. {held:message}{root:also}",
    "chain.began": "{step:step} began {start:moment}. {held:message}{root:also}",
}
"""What kept a step from starting earlier, and the links of the chain from the end of the job to its start."""

_ADDED: Mapping[str, str] = {
    "added.recoat window": "“{after}” begins after the recoat window of “{before}” has closed.",
    "added.too late": "“{after}” begins more than {within:length} after “{before}”.",
    "added.tape": "“{pull}” comes so late that the film has bridged the edge of the tape.",
    "added.tape for long": "“{tape}” has been on for longer than it comes off cleanly.",
    "added.again": "{because:message} It was mended before, too soon.",
    "added.dust after": "“{wiping}” is recorded, and the dust of “{dusty}” comes after it.",
    "added.some dust after": "“{wiping}” is recorded, and dust comes after it.",
    "added.dust lay": "Dust lay there, and wet work came first.",
    "added.dust lies": "The dust of “{dusty}” lies there, and “{wet}” comes before any other wipe-down.",
    "added.nobody wipes": "The dust of “{dusty}” lies there, and nothing in the job wipes it up.",
}
"""Why a step was added to those of the job."""

_WARNED: Mapping[str, str] = {
    "warned.unsettled": "No plan was found that keeps every rule, and no proof that there is none. This is the one "
    "found that breaks least; look at what it breaks.",
    "warned.too late": "The work ends {finish:moment}, after the day it was to be done by.",
    "warned.moved": "You moved the session of {step:step} to {moved:moment}, but it can't be done then; it is "
    "planned {planned:moment}. {held:message}",
    "warned.broken": "This plan breaks a rule ({rule}): {said:message}",
    "warned.broken step": "This plan breaks a rule ({rule}): {step:step} {said:message}",
}
"""What a plan must be told."""

_GIVEN_UP: Mapping[str, str] = {
    "given up": "{step:step} {said:message}. {rule:given up}.",
    "given up.order": "What was done out of turn leaves no other way: look at what the one does to the other",
    "given up.stage": "The film never gets that far in this air: heat or dry the room, or take the film off",
    "given up.window": "Do it as soon as you can and look whether it holds; where it does not, take it off and lay "
    "it again",
    "given up.clean": "Vacuum and wipe down before it",
    "given up.air": "Heat or dry the room until the air is fit, or take another material",
    "given up.closed": "What was done out of turn leaves no other way: look where the film can bear it, mend what "
    "is marked",
    "given up.taken": "What it needs is kept by others: get another one, or give it back sooner",
    "given up.resource": "That is more than there ever is: get help or a quieter way, or change it in the job file",
    "given up.one piece": "No session is long enough: leave it where no seam shows, or make a session longer",
    "given up.date": "Nobody knows when it comes: give it a date, `tackfree late JOB ITEM DATE`",
    "given up.hours": "It is planned as if they went on as before: say in the job file when you can work",
    "rule.past hours": "is planned after the last of your hours ({end:moment})",
}
"""A rule that had to give way for a step in a plan, and what can be done."""

_AGREED: Mapping[str, str] = {
    "agreed.put off": "{visit:step}, {start:moment}, can’t be kept: {holder:step} is ready "
    "{ready:moment}. They could come from then on; this plan has them {comes:moment}.",
    "agreed.crowded": "{visit:step}, {start:moment}, can’t be kept with all else. This plan has them {comes:moment}.",
    "agreed.no day": "{visit:step}, {start:moment}, can’t be kept, and no day was found on which they could come.",
    "agreed.late": "{what}: promised by {by:day}, done {reached:moment}, {late:length} late, by "
    "{holder:step}.{proven:also}",
    "agreed.out": "{what}: out of use for {reached:length}, promised {most:length} at most: {late:length} too "
    "long.{proven:also}",
    "agreed.proven": "It is proven that no plan breaks its promises less.",
    "agreed.the job": "the whole job",
    "agreed.kept by": "{what} by {by:day}",
    "agreed.kept out": "{what} out of use for {reached:length} ({most:length} at most)",
    "agreed.comes": "{visit:step}, {when}",
}
"""What was agreed with others and promised: what is broken of it, what is kept, who comes."""

_PAST: Mapping[str, str] = {
    "past.wait": "{step:step} was begun {late:length} after {other:step}; by the job it waits {right:message}. Look "
    "at {other:step}: what the wait was for may have suffered.",
    "past.stage": "{step:step} was begun {late:length} after {other:step}, which {right:message}. {advice:message}.",
    "past.never": "never comes so far in this air",
    "past.length": "{wait:length} (until {until:moment})",
    "past.gets": "{stage:past.gets} after {wait:length} (until {until:moment})",
    "past.gets.touch": "is dry to the touch",
    "past.gets.dust_free": "is no dust sticks",
    "past.gets.handle": "may be handled",
    "past.gets.sand": "may be sanded",
    "past.gets.recoat": "may be recoated",
    "past.gets.recoat_by": "is latest to recoat",
    "past.gets.paint_over": "may be painted",
    "past.gets.tape": "may be taped over",
    "past.gets.use": "is fit for light use",
    "past.gets.full": "is cured through",
    "past.window": "{step:step} was begun {began:moment}; the time for it after {other:step} {ended:message}. "
    "{advice:message}.",
    "past.had ended": "had ended",
    "past.ended": "ended {right:moment}",
    "past.undone": "{step:step} was begun {began:moment}, and {others:steps}, which comes before it, is not done by "
    "the record. If it was done, record it; else do it as far as it still can be done, and look at what lies over "
    "it.",
    "past.all undone": "{step:step} was begun {began:moment}, and not done by the record is what comes before it: "
    "{others:steps}. What was done, record it; do the rest as far as it still can be done, and look at what lies "
    "over it.",
    "past.crossed": "{step:step} was begun {began:moment}, before {other:step} was over ({since:moment}). Look at "
    "what the one did to the other, and mend it before the next step.",
    "past.item": "{step:step} was begun {began:moment} and needs {item:item}, which comes {comes:day} by the "
    "record. If it is there, record that; if something else was taken in its place, check that it fits what follows.",
    "past.item without date": "{step:step} was begun {began:moment} and needs {item:item}, which has no date yet by "
    "the record. If it is there, record that; if something else was taken in its place, check that it fits what "
    "follows.",
    "past.air": "{step:step} was laid from {began:moment} on, and the air left its limits{limits:also} "
    "{when:message}. {advice:message}.",
    "past.limits": "({limits})",
    "past.while wet": "while it was wet",
    "past.before": "before {right:moment}",
    "past.dust": "{step:step} made dust {began:moment}, while {other:step} was wet{till:also}. {advice:message}.",
    "past.in dust": "{step:step} was begun {began:moment} in the dust of {other:step}, with no wipe-down recorded "
    "in between. {advice:message}.",
    "past.closed": "{step:step} was worked on {began:moment}, while {other:step} closed the room{till:also}. "
    "{advice:message}.",
    "past.till": "until {right:moment}",
    "advice.recoat": "The film underneath stays soft: look for wrinkles and for places that lift{dry:message}, and "
    "sand what wrinkled smooth before the next coat",
    "advice.sand": "It tears and clogs where it is soft: look for gouges{dry:message}, then fill them and sand once "
    "more",
    "advice.tape": "The tape may take the paint along: pull it slowly and low, look at the edge{dry:message}, and "
    "touch it up",
    "advice.paint_over": "What is under the paint still shrinks: look for cracks along it{dry:message}, and fill "
    "what has cracked",
    "advice.marked": "Look for prints and for places that stick{dry:message}, and mend what is marked",
    "advice.grit": "Grit sticks in the film: look along it against the light{dry:message}, then sand it off and "
    "wipe before the next coat",
    "advice.unformed": "Look for soft, dull or chalky places{dry:message}; sand off what rubs off, and lay it again",
    "advice.let go": "The two may not hold together: once it is dry, press tape on where it does not show and pull "
    "it off; where the film comes along, sand it back and lay it again",
    "advice.too late": "Look whether it holds, or came off clean; where it does not, do it over",
    "advice.dry": ", let it dry until {until:moment}",
}
"""What the record broke: what happened, what it means for the work, what to look for, and when to go on."""

_RULES: Mapping[str, str] = {
    "span": "{start:moment} to {end:moment}",
    "rule.nobody there": "works {piece:message}, but nobody is there at {gap:moment}",
    "rule.set up": "works {piece:message}; set-up and clear-up leave {room:message}",
    "rule.people": "at {at:moment} {steps:steps} take {wanted} people, and {there} are there",
    "rule.noisy": "is noisy and works {piece:message}, in the quiet hours {quiet:message}",
    "rule.room shut": "works {piece:message}, in hours that are not for the room {room}",
    "rule.past": "is planned for {start:moment}, before {now:moment}",
    "rule.labour": "is given {given} minutes from {start:moment} on; it takes {needed}",
    "rule.labour told": "states {told} minutes of labour; its pieces sum up to {given}",
    "rule.empty piece": "has an empty piece at {start:moment}",
    "rule.overlap": "has a piece from {start:moment} that begins before the last one ended",
    "rule.pause": "cannot pause, yet it stops at {end:moment}",
    "rule.short piece": "has a piece of {minutes} minutes, {piece:message}; the smallest is {least}",
    "rule.at stage": "at {stage}",
    "rule.done": "done",
    "rule.minutes on": "and {minutes} minutes on",
    "rule.out of turn": "goes on {start:moment}; {before:step}, which comes before it, is {what:message} "
    "{ready:moment}, whatever was done out of turn",
    "rule.choice": "{said:message}; by the plan {first} comes first where {one} and {other} touch",
    "rule.no stage": "follows the stage {stage} of {before:step}, which has no such stage",
    "rule.too early": "starts {start:moment}; {before:step} is {what:message}{wait:also} at {ready:moment}",
    "rule.window": "starts {start:moment}; its window after {before:step} ended {latest:moment}, and {mend:message}",
    "rule.no mending": "nothing can mend that",
    "rule.mending left out": "the remedy {remedy:step} is not planned",
    "rule.mending elsewhere": "the remedy {remedy:step} ({when:message}) does not lie between them",
    "rule.needless remedy": "is a remedy, planned for {start:moment}, for a window that was not missed",
    "rule.tape": "may come {given:message} after {before:step}; tape allows {longest} minutes",
    "rule.no limit": "no limit",
    "rule.minutes": "{minutes} minutes",
    "rule.dust": "makes dust {piece:message}; {wet:step} is wet until {until:moment}",
    "rule.in dust": "starts {start:moment} in the dust of {dusty:step} ({piece:message})",
    "rule.closed": "works {piece:message}; {closing:step} closes the room until {until:moment}",
    "rule.air": "needs fit air from {need:message}, and the air leaves its limits ({limits})",
    "rule.not ordered": "needs “{item}”, which is not on order",
    "rule.item": "starts {start:moment} and needs “{item}”, which comes {day}",
    "rule.things": "takes “{thing}” at {start:moment}: {taken} in use, {there} there",
    "rule.visited": "works at {start:moment} where {visit:step} has the room until {until:moment}",
    "rule.not ready for": "is ready {ready:moment}, after {visit:step} came {start:moment}",
    "rule.before visit": "begins {start:moment}, before {visit:step} ends {until:moment}",
    "rule.told visit": "{visit:step} is not told as it was agreed",
    "rule.promise": "“{name}” is promised, and the plan does not tell that it breaks that by {late:length}",
    "rule.promises": "the plan tells of {told} promises, and there are {right}",
    "rule.kept": "takes “{thing}” at {start:moment}: {taken} taken, {there} there",
    "rule.never given back": "keeps “{thing}” until {other:step}, which is not planned",
    "rule.given back": "keeps “{thing}”, which {other:step} gives back before it ends",
    "rule.told taken": "takes “{thing}” from {start:moment} until {until:moment}, and the plan tells it otherwise",
    "rule.twice": "is planned {times} times",
    "rule.left out": "is not planned",
    "rule.no time": "is in the plan without a time",
    "rule.unknown": "is planned, and the job has no such step",
    "rule.state": "is said to be {told}; by the record it is {right}",
    "rule.done otherwise": "was done at other times than the plan says",
    "rule.begun otherwise": "was begun at other times than the plan says",
    "rule.minutes left": "has {left} minutes left, and the plan gives it {rest}",
    "rule.record left out": "is recorded and left out of the plan",
    "rule.told": "is told with {what} {told}; the job says {right}",
    "rule.heading": "the plan has the {what} {told}; it should be {right}",
    "rule.window made up": "shows a window {window:message} that the job does not have",
    "rule.window hidden": "works in a window that is not shown: {window:message}",
    "rule.sessions": "session {after} ({start:moment}) does not come after session {before}",
    "rule.in sessions": "works {piece:message}, which lies in {count} sessions",
    "rule.not named": "works {piece:message}, and session {session} does not name it",
    "rule.names idle": "session {session} names {names}; nothing of it runs there",
    "rule.names nothing": "session {session} names no step; nothing of it runs there",
    "rule.session order": "session {session} does not name its steps once each, in order of their start",
    "rule.stretch": "session {session} ({span:message}) is not one stretch of work hours",
    "rule.same stretch": "session {session} ({span:message}) is the same stretch of work hours as session {other}",
    "rule.session people": "session {session} ({span:message}) is said to have {told} people; {needed} are needed "
    "and {there} are there",
    "rule.no set up": "session {session} has not {minutes} minutes before {moment:moment}",
    "rule.no clear up": "session {session} has not {minutes} minutes after {moment:moment}",
    "rule.finish": "the finish is told as {told:moment}; the last piece ends {right:moment}",
    "rule.last film": "{what} is told as {told:moment}; the last film is at {stage} {right:moment}",
    "rule.beats bound": "the finish {finish:moment} beats its own bound {bound:moment}",
    "rule.not proven": "is called proven, with a bound of {bound:moment}",
    "rule.film": "tells of a film where there is none, or of none where there is one",
    "rule.coat": "tells of coat {coat} of {material}, and lays another",
    "rule.thickness": "tells of a thickness factor {told}; it is {right}",
    "rule.not-yet": "tells that its film is at {stage} {told:moment}; {looked:moment} it was not yet",
    "rule.before-felt": "begins before {step:step} was felt to be at {stage}",
    "rule.stage": "tells that its film is at {stage} {told:moment}; it is {right:moment}",
    "rule.wait": "tells of a wait for {step} ({stage}) that is not so: from {ready:moment}{latest:message}",
    "rule.latest": ", until {latest:moment}",
    "rule.untold": "does not tell that it follows {before:step}",
}
"""What the verifier finds of a step, to be read after its title, or of the plan as a whole."""

_LEARNED: Mapping[str, str] = {
    "learned.dries": "{material} in {room:title} takes about {times} times as long to dry as its profile says "
    "({seen:message}; between {low} and {high}): what waits for it is planned so.",
    "learned.coat": "{count} coat felt",
    "learned.coat many": "{count} coats felt",
    "learned.others": "by other films there",
    "learned.fixed": "Your {work:message} has taken {seen:message}; `pace` in the job file has the last word.",
    "learned.elsewhere": "Nothing of {works:listed} is recorded yet; by your pace elsewhere reckoned with {times} "
    "times the time.",
    "learned.far off": "What is recorded of your {work:message} is so far off that it counts little; reckoned with "
    "{times} (between {low} and {high}).",
    "learned.pace": "Your {work:message} has taken {seen:message}; reckoned with {times} (between {low} and {high}).",
    "learned.no pace": "That is rarely a pace: look whether what is measured for your {work:message} is right in "
    "the job file. No more than that is made of it.",
    "learned.work": "{work}",
    "learned.own work": "{work} by your own times",
    "learned.seen": "{times} times {against:message} in {steps:message}{odd:message}",
    "learned.reckoned": "what you reckoned",
    "learned.rate": "the rate",
    "learned.step": "{count:number} step",
    "learned.step many": "{count:number} steps",
    "learned.odd": ", of which {count} counts little",
    "learned.odd many": ", of which {count} count little",
    "learned.contradicted": "{step:step} was felt to be {stage:allowed}, and later not yet: the later word counts. "
    "If one of them is a slip, take it back.",
    "number.0": "no",
    "number.1": "one",
    "number.2": "two",
    "number.3": "three",
    "number.4": "four",
    "number.5": "five",
    "number.6": "six",
}
"""What the record taught: how long steps took, how films felt, and what is reckoned with for it."""

_SCREEN: Mapping[str, str] = {
    "cause.comes": "{item:item} comes {day:day}",
    "cause.there": "{item:item} is there",
    "cause.lost": "nobody works {day:day}",
    "cause.ended": "{step:step} ended {when:moment}",
    "cause.left": "{step:step} has {left:length} to go",
    "cause.felt": "{step:step} was felt",
    "screen.done": "DONE",
    "screen.missed": "LATE",
    "screen.kept": "KEPT",
    "screen.comes in": "COMES",
    "screen.what helps": "what would keep it: {command}",
    "screen.open": "ASKED",
    "screen.broken": "BROKEN",
    "screen.order": "ORDER",
    "screen.buy": "BUY",
    "screen.dries": "DRIES",
    "screen.out": "OUT",
    "screen.taken": "{thing}: in use again {moment} ({step})",
    "screen.taken for good": "{thing}: nobody knows when it is in use again ({step})",
    "screen.now": "NOW",
    "screen.next": "NEXT",
    "screen.then": "THEN",
    "screen.end": "END",
    "screen.taught": "TAUGHT",
    "screen.mind": "MIND",
    "screen.more": "MORE",
    "screen.as of": "as of {moment}",
    "screen.so far": "{done} of {steps} steps done · {moment}",
    "screen.former": "done, no longer in the job: {steps}",
    "screen.safe and best": "by {safe} to be safe, {best} at best",
    "screen.likely": "{said} · likely {likely}",
    "screen.one day": "by {safe}, to be safe and at best",
    "screen.best alone": "by {best} as planned; how likely that is was not reckoned",
    "screen.no safe day": "by {best} at best; the safe day lies beyond the hours that are known",
    "screen.work": "{sessions}, {length} of steps.",
    "screen.proven": "Proven: no plan ends sooner.",
    "screen.over": "since {moment}. Cured {cured}.",
    "screen.never": "later than can be reckoned",
    "screen.promise": "Promised by {day}: missed by {days}.",
    "screen.fits": "fits with: {changes}. {how}",
    "screen.or fits": "or with: {changes}. {how}",
    "screen.no fit": "no three of the changes that were tried make it fit; what helps: {command}",
    "screen.usable": "Can be used from {day}.",
    "screen.unrecorded": "{sessions}: not recorded. Nothing of it counts as done until you say so.",
    "screen.ordered late": "{title}: HAD TO BE ORDERED BY {day}{comes}",
    "screen.ordered": "{title} by {day}{comes}",
    "screen.comes": " (comes {day})",
    "screen.bought late": "HAD TO BE HERE BY {day}: {things}",
    "screen.bought": "by {day}: {things}",
    "screen.for both": "nothing to order or buy for the next two sessions",
    "screen.nothing dries": "nothing",
    "screen.hands off": "hands off until {moment}",
    "screen.next on it": "next on it from {moment}",
    "screen.in use": "in use from {moment}",
    "screen.films": "{count} × {material} ({room})",
    "screen.air": "air in {room}: {air}, until {moment}",
    "screen.leaving": "wet when you leave: ",
    "screen.ready": "have ready: ",
    "screen.break": ", break {spans}",
    "screen.again": ", again {times}",
    "screen.new": "NEW ",
    "screen.before": "as before (in full: --all): ",
    "screen.no session": "no session lies ahead",
    "screen.week": "and {sessions} more, to {day}: --all",
    "screen.all": "{all}: cautions in full, reasons, sources · {page} FILE · {buy}",
    "screen.more notes": "and {notes} more: --all",
    "screen.already": "done: {steps}",
    "screen.since": "SINCE",
    "screen.ended otherwise": "{day}: done {now} instead of {was}{because}",
    "screen.moved only": "{day}: the end stays, {steps} on another day{because}",
    "screen.because": ", because {cause}",
}
"""The first screen. What stands at the margin has six letters at most."""

PATTERNS: Mapping[str, str] = {
    **_PARTS,
    **_SESSION,
    **_HELD,
    **_ADDED,
    **_WARNED,
    **_AGREED,
    **_GIVEN_UP,
    **_PAST,
    **_RULES,
    **_LEARNED,
    **_SCREEN,
}
