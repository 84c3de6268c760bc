### What calllog says and writes, in English: one message for each code.
###
### Facts come as variables. Readings are whole numbers of hundredths and are written by HUNDREDTHS
### (15.42), WHOLE (15), PART (.42) and STATION (3+12.40); DURATION writes seconds (2 h 1 min).
### $unit is foot or metre, what the tape is graduated in. A finding's remedy is its attribute.
### Any sentence here may be mended at any time: no job keeps it.

## What is asked of the crew, and why words are not taken.

say-again = { $role ->
    [head] head,{" "}
    [rear] rear,{" "}
   *[unsaid] {""}
  }say again { $part ->
    [whole] { $unit ->
        [metre] the whole metre
       *[foot] the whole foot
      }
    [fraction] the hundredths
   *[reading] the reading
  }{ $measurement ->
    [take] {" "}of the take
   *[check] {""}
  }
say-again-or-type = { $role ->
    [head] head,{" "}
    [rear] rear,{" "}
   *[unsaid] {""}
  }say again or type { $part ->
    [whole] { $unit ->
        [metre] the whole metre
       *[foot] the whole foot
      }
    [fraction] the hundredths
   *[reading] the reading
  }{ $measurement ->
    [take] {" "}of the take
   *[check] {""}
  }
states-no-condition = that states no condition
less-than-nothing = { WHOLE($whole) } less { $fraction } hundredths is less than nothing
both-parts-again = { $why }; say both parts again
rise-in-force-beyond-tape = { $unit ->
    [metre] the rise of { $rise } m is more than the tape length; state the rise, then say both parts again
   *[foot] the rise of { $rise } ft is more than the tape length; state the rise, then say both parts again
  }
rise-beyond-tape = { $unit ->
    [metre] a rise of { $rise } m is more than the tape length
   *[foot] a rise of { $rise } ft is more than the tape length
  }
one-digit = { $said } may be .0{ $digit } or .{ $digit }0; say both digits
again-or-hundredths = { $value } again, or { $value } hundredths? say point before hundredths
say-read-and-held = on this tape a mark is held: say what is read and what is held
tape-cuts = { $unit ->
    [metre] this tape cuts: say the metre mark and the hundredths apart
   *[foot] this tape cuts: say the foot mark and the hundredths apart
  }
numbered-from-one = each { $what } has a number from 1
finish-pull-first = finish pull { $pull } before changing the { $what }
said-while-waiting = { $what } number { $number } was said while a pull waited; say it again{ $later ->
    [0] {""}
   *[other] , then what was called after it
  }
nothing-to-decide = there is nothing to decide
line-finished = the line is finished
line-finished-no-call = the line is finished; no call is expected
no-call-to-scratch = there is no call to scratch
check-needed = this line needs a check: switch ends first
before-switching = before switching: { $status }
before-moving-on = before moving on: { $status }
no-decision-awaited = pull { $pull } waits for no decision; { $status }
beyond-tape = { $unit ->
    [metre] { HUNDREDTHS($reading) } is beyond this { $tape } m tape
   *[foot] { HUNDREDTHS($reading) } is beyond this { $tape } ft tape
  }
words-beyond-tape = { $unit ->
    [metre] { $said } is beyond this { $tape } m tape
   *[foot] { $said } is beyond this { $tape } ft tape
  }
station-beyond-line = station { STATION($station) } lies beyond this line, taped to { STATION($taped) }
no-call-made-out = no call was made out
not-sure-of = not sure of { $said }; say it again
crew-talk = crew talk
remark-kept = a remark, kept as sound
nothing-said = nothing was said
not-a-call-word = "{ $word }" is no word of a call
word-does-not-belong = "{ $word }" does not belong there
call-breaks-off = the call breaks off
after-comes-number = after { $before } comes a number
after-comes-reading = { $unit ->
    [metre] after { $before } comes metres, "point" and two digits
   *[foot] after { $before } comes feet, "point" and two digits
  }
is-hundredths = { $unit ->
    [metre] { $said } is hundredths; the whole metre is called here
   *[foot] { $said } is hundredths; the whole foot is called here
  }
is-whole = { $unit ->
    [metre] { $said } is a whole metre; hundredths are called here
   *[foot] { $said } is a whole foot; hundredths are called here
  }
is-part = { $unit ->
    [metre] { $said } is only a part; metres and hundredths are called
   *[foot] { $said } is only a part; feet and hundredths are called
  }
may-be = { $count ->
    [1] { $said } may be { $may_be_1 }; say point and both digits
    [2] { $said } may be { $may_be_1 } or { $may_be_2 }; say point and both digits
    [3] { $said } may be { $may_be_1 } or { $may_be_2 } or { $may_be_3 }; say point and both digits
   *[other] { $said } may be { $may_be_1 } or { $may_be_2 } or { $may_be_3 } or { $may_be_4 }; say point and both digits
  }
station-form = a station is hundreds, "plus" and two digits
station-hundreds = before "plus" comes a number from 0 to 99
station-side = after the station comes left or right
station-plus = after "plus" come two digits
station-one-digit = plus { $said } may be 0{ $digit } or { $digit }0; say both digits
offset-form = { $unit ->
    [metre] after { $side } come metres, or metres, point and tenths
   *[foot] after { $side } come feet, or feet, point and tenths
  }
offset-beyond = { $unit ->
    [metre] an offset goes up to { $most } m
   *[foot] an offset goes up to { $most } ft
  }
sound-was-lost = some sound was lost, say it again
said-under-voice = it was said while this voice was on, say it again
as-written = { $text }
as-told = { $words }

## Where the work stands.

pull-waits = pull { $pull } waits for { $part ->
    [whole] { $unit ->
        [metre] the whole metre of the { $measurement }
       *[foot] the whole foot of the { $measurement }
      }
    [fraction] the hundredths of the { $measurement }
   *[all] the { $measurement }
  }
pull-waits-for-switch = pull { $pull } waits for switching ends
pull-waits-for-decision = pull { $pull } waits for a decision{ $held ->
    [0] {""}
   *[other] , { $held } calls held
  }
pull-waits-for-answer = pull { $pull } waits: { $question }

## Findings: what fits where take and check differ, and what else must be known of a pull.

finding-one-foot = { $unit ->
    [metre] take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one metre apart: a metre added where the tape cuts, or the held metre forgotten
   *[foot] take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one foot apart: a foot added where the tape cuts, or the held foot forgotten
  }
    .remedy = { $unit ->
        [metre] look which metre mark is held and measure again
       *[foot] look which foot mark is held and measure again
      }
finding-ten-feet = { $unit ->
    [metre] take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly ten metres apart: a ten-metre mark misread
   *[foot] take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly ten feet apart: a ten-foot mark misread
  }
    .remedy = read the tens at the mark and measure again
finding-tape-length = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one tape length apart: a pull dropped or counted twice
    .remedy = count the pulls and measure again
finding-tape-complement = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: the two add up to the tape: one was read from the other end
    .remedy = look which way the numbers run and measure again
finding-foot-complement = { $unit ->
    [metre] take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: the hundredths add up to a metre: one was read from the wrong side of the mark
   *[foot] take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: the hundredths add up to a foot: one was read from the wrong side of the mark
  }
    .remedy = read the hundredths from the zero side and measure again
finding-swapped = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: two digits swapped
    .remedy = say the digits one by one and measure again
finding-six-nine = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: six and nine: a figure read upside down
    .remedy = read it again upright
finding-teen-ty = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: sound-alikes, as thirteen and thirty
    .remedy = say the digits one by one
finding-sound-alike = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: sound-alike digits
    .remedy = say the digits one by one
finding-one-tenth = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one tenth apart: a tenth misread
    .remedy = read the tenths again
finding-inches = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: feet and inches: one was read with twelve inches to the foot
    .remedy = read the tenths and hundredths and measure again
finding-differs = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: no known blunder fits
    .remedy = measure again
finding-within-tolerance = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: within the tolerance
finding-unchecked = the wanted check was not made
finding-long-gap = { $seconds } seconds between the parts of one observation
    .remedy = look whether they belong together
finding-not-sure = not sure of { $part ->
    [whole] { $unit ->
        [metre] the whole metre of the { $measurement }
       *[foot] the whole foot of the { $measurement }
      }
    [fraction] the hundredths of the { $measurement }
   *[reading] the reading of the { $measurement }
  }
    .remedy = { $severity ->
        [stop] keep the first, keep the second or measure again
       *[note] look at what was said
      }
finding-repeat-differs = { $part ->
    [whole] { $unit ->
        [metre] the whole metre was { WHOLE($first) }, now { WHOLE($second) }
       *[foot] the whole foot was { WHOLE($first) }, now { WHOLE($second) }
      }
    [fraction] the hundredths was { PART($first) }, now { PART($second) }
   *[length] the length was { HUNDREDTHS($first) }, now { HUNDREDTHS($second) }
  }
    .remedy = scratch the wrong one, decide first or check, or measure again
finding-keyed-stands = { $part ->
    [whole] heard { WHOLE($second) } beside the keyed { WHOLE($first) }; the keyed one stands
    [fraction] heard { PART($second) } beside the keyed { PART($first) }; the keyed one stands
   *[length] heard { HUNDREDTHS($first) }, keyed { HUNDREDTHS($second) }; what was keyed stands, the other part as heard
  }

# Why a pull stays as it was read.
finding-not-corrected = not corrected: { $why }
    .remedy = { $remedy }
length-not-correctable = a length read of { $length } cannot be corrected
length-not-correctable-remedy = measure that pull again
not-a-temperature = { $degrees } degF is no temperature
not-a-temperature-remedy = measure that pull again, with its temperature stated
tension-no-pull = a tension of { $tension } is no pull
tension-no-pull-remedy = measure that pull again, with its tension stated
tension-breaks-tape = { $unit ->
    [metre] no tape of { $area } square millimetres survives a tension of { $tension }
   *[foot] no tape of { $area } square inches survives a tension of { $tension }
  }
tension-breaks-tape-remedy = look at the tension, its unit, and the certificate
spans-not-possible = a tape cannot hang in { $spans } spans
spans-not-possible-remedy = measure that pull again, with its support stated (0 is throughout)
cannot-hang = under { $tension } { $length } of this tape cannot hang in { $spans } spans, which takes more than { $least }
cannot-hang-remedy = measure that pull again, with its tension and support stated
rise-beyond-length = a rise of { $rise } is greater than the length of { $length }
rise-beyond-length-remedy = measure that pull again, with its rise stated

## Words of the crew.

crew-head = head
crew-rear = rear
crew-crew = crew
crew-the-crew = the crew
crew-policy = policy
crew-take = take
crew-check = check
crew-the-whole-foot = { $unit ->
    [metre] the whole metre
   *[foot] the whole foot
  }
crew-the-hundredths = the hundredths
crew-the-reading = the reading
crew-the-length = the length
crew-whole-foot = { $unit ->
    [metre] whole metre
   *[foot] whole foot
  }
crew-hundredths = hundredths
crew-that = that
crew-minus = minus
crew-plus = plus
crew-star = star
crew-slash = slash
crew-foot = { $unit ->
    [metre] metre
   *[foot] foot
  }
crew-feet = { $unit ->
    [metre] metres
   *[foot] feet
  }
crew-pound = pound
crew-pounds = { $unit ->
    [metre] newtons
   *[foot] pounds
  }
crew-newton = newton
crew-newtons = newtons
crew-degree = degree
crew-degrees = degrees
crew-second = second
crew-seconds = seconds
crew-temperature = temperature
crew-tension = tension
crew-spans = spans
crew-position = position
crew-rise = rise
crew-hold = hold
crew-tape = tape
crew-line = line
crew-left = left
crew-right = right
crew-finish = finish
crew-again = again

## What follows a call: results.

told-pull = pull { $pull }, { $length }
told-pull-first-kept = pull { $pull }, first kept, { $length }
told-pull-second-kept = pull { $pull }, second kept, { $length }
told-pull-not-checked = pull { $pull }, not checked, { $length }
told-stop-pull = stop. pull { $pull }. { $words }. { $remedy }
told-held-pull-waits = held. pull { $pull } waits
told-pull-is-open-again = pull { $pull } is open again
told-scratched = scratched { $old }
told-not = { $new }, not { $old }
told-and-a-half = and a half
told-stop = stop
told-pull-2 = pull
told-scratched-2 = scratched
told-not-checked = not checked
told-first-kept = first kept

## Tapes, lines and remarks.

line-there-is-no-number-here = there is no { $what } number { $number } here
line-tape-number = tape number { $number }, { $name }
line-line-number = line number { $number }, { $line }
line-to = { $begins } to { $to }
line-to-run = { $begins } to { $to }, run { $run }
line-no-sound-is-kept-in-this = no sound is kept in this job, so no remark can be
line-the-remark-was-not-kept = the remark was not kept

## Devices.

device-microphone-lost = microphone lost
device-microphone-is-back = microphone is back
device-too-loud = too loud
device-too-faint-come-closer-to-the = too faint, come closer to the microphone
device-too-much-noise = too much noise
device-stop-nothing-more-is-heard = stop. nothing more is heard
device-the-disk-is-slow-wait = the disk is slow, wait
device-the-disk-is-slow-s-for = the disk is slow: { $seconds } s for one write
device-all-calls-are-on-disk = all calls are on disk
device-all-is-on-disk = all is on disk
device-stop-the-disk-takes-nothing = stop. the disk takes nothing
device-stop-one-call-is-not-on = stop. one call is not on disk
device-stop-calls-are-not-on-disk = stop. { $count } calls are not on disk
device-the-disk-takes-nothing = the disk takes nothing: { $reason }
device-nothing-can-be-written-to-the = nothing can be written to the disk
device-1-call-is-not-on-disk = 1 call is not on disk
device-calls-are-not-on-disk = { $calls } calls are not on disk
device-stop-the-work-bring-the-disk = stop the work; bring the disk back, or make room on it
device-these-calls-are-not-on-disk = These calls are not on disk:
device-the-computer-s-clock-went-forward = the computer's clock went forward by { $span }; times before and after do not compare
device-the-computer-s-clock-went-back = the computer's clock went back by { $span }; times before and after do not compare
device-the-computer-s-clock-is-before = the computer's clock is { $span } before the job's last entry; is it set?
device-the-computer = the computer
device-no-sound-is-kept = no sound is kept
device-keypad-lost = keypad lost
device-keypad-back = keypad back
device-keypad-lost-2 = keypad { $name } lost
device-keypad-back-2 = keypad { $name } back
device-microphone-lost-it-is-looked-for = microphone { $name } lost: { $reason }; it is looked for
device-microphone-is-back-after-s = microphone { $name } is back after { $seconds } s
device-some-sound-of-was-lost = some sound of { $name } was lost
device-phone-is-paired = phone { $name } is paired
device-phone-is-revoked = phone { $name } is revoked
device-on-the-phone = { $who }, on the phone
device-the-chief-s-page-was-lost = the chief's page was lost; it is begun again
device-the-chief-s-page-goes-over = the chief's page goes over this network unencrypted
device-somebody-tries-to-guess-the-code = somebody tries to guess the code of the chief's page
device-gone-on-with-calls-are-in = gone on with: { $status }; { $calls } calls are in the job
device-is-overdriven-the-loudest-parts-of = is overdriven: the loudest parts of the call are cut off
device-turn-its-gain-down-or-wear = turn its gain down, or wear it further from the mouth
device-is-too-loud-or-too-near = is too loud, or too near to the mouth
device-turn-its-gain-down-or-wear-2 = turn its gain down, or wear it a hand's breadth away
device-is-too-faint-or-too-far = is too faint, or too far from the mouth
device-turn-its-gain-up-or-wear = turn its gain up, or wear it nearer
device-hears-much-noise-beside-the-voice = hears much noise beside the voice
device-shield-it-from-the-wind-wear = shield it from the wind, wear it nearer, or key the calls in
device-gives-no-sound-at-all = gives no sound at all
device-switch-it-on-unmute-it-and = switch it on, unmute it, and check its cable
device-has-a-constant-offset-so-that = has a constant offset, so that loud calls are cut on one side
device-use-another-input-or-another-microphone = use another input or another microphone

## Keys.

key-is-no-entry-type-it-again = { $typed } is no entry; type it again
key-a-key-that-is-none-of = a key that is none of the keypad's; is Num Lock on? type it again
key-nothing-is-typed-minus-strikes-the = nothing is typed; minus strikes the last call
key-a-point-alone-is-no-number = a point alone is no number
key-may-be-0-or-0-type = { $typed } may be .0{ $one } or .{ $other }0; type both digits
key-may-be-0-or-0-type-2 = { $typed } may be { $one }.0{ $part } or { $other }.{ $digit }0; type both digits
key-has-digits-after-the-point-type = { $typed } has { $digits } digits after the point; type two
key-is-no-hundredths-type-two-digits = { $unit ->
    [metre] { $typed } is no hundredths; type two digits, or { $feet }. for a metre
   *[foot] { $typed } is no hundredths; type two digits, or { $feet }. for a foot
  }
key-has-no-point-type-feet-point = { $unit ->
    [metre] { $typed } has no point; type metres, point and both digits
   *[foot] { $typed } has no point; type feet, point and both digits
  }
key-is-beyond-this-ft-tape-type = { $unit ->
    [metre] { $typed } is beyond this { $length } m tape; type metres, point and both digits
   *[foot] { $typed } is beyond this { $length } ft tape; type feet, point and both digits
  }
key-begins-with-a-zero-type-for = { $unit ->
    [metre] { $typed } begins with a zero; type .{ $part } for hundredths, { $feet } for a metre
   *[foot] { $typed } begins with a zero; type .{ $part } for hundredths, { $feet } for a foot
  }
key-states-nothing = { $code }* states nothing; { $codes }
key-needs-a-number = { $typed } needs a number: { $name } { $range }
key-has-a-point-is-typed-in = { $typed } has a point; { $name } is typed in whole numbers
key-type-both-digits-after-the-point = { $typed }: type both digits after the point
key-does-not-go = { $name } { $amount } does not go; { $range }
key-means-nothing = { $after } means nothing; { $steps }
key-1-keep-the-first-2-keep = 1/ keep the first, 2/ keep the second, 0/ measure again, 3/ next pull, 9/ line finished
key-is-no-note-type-it-like = { $typed } is no note; type it like 1+25/18.4 for right, 1+25-18.4 for left
key-the-foot-or-the-hundredths-whichever = { $unit ->
    [metre] the metre or the hundredths, whichever you are to call
   *[foot] the foot or the hundredths, whichever you are to call
  }
key-a-whole-foot-whatever-is-expected = { $unit ->
    [metre] a whole metre, whatever is expected
   *[foot] a whole foot, whatever is expected
  }
key-hundredths-whatever-is-expected-always-both = hundredths, whatever is expected; always both digits: .05, .50
key-a-full-reading = a full reading
key-say-again = say again
key-strike-the-last-call-while-something = strike the last call; while something is typed: clear it
key-clear-the-last-key = clear the last key
key-switch-ends = switch ends
key-keep-the-first = keep the first
key-keep-the-second = keep the second
key-next-pull = next pull
key-line-finished = line finished
key-temperature-1-5-below-zero = temperature; 1*-5 below zero
key-support-0-throughout-1-ends-only = support: 0 throughout, 1 ends only, or equal spans
key-held-at-0-ground-1-knee = held at: 0 ground, 1 knee, 2 waist, 3 chest
key-rise-between-the-ends-5-0 = rise between the ends; 5*0 for level
key-foot-mark-that-the-other-end = { $unit ->
    [metre] metre mark that the other end holds
   *[foot] foot mark that the other end holds
  }
key-another-tape-by-its-number = another tape, by its number
key-another-line-by-its-number = another line, by its number
key-a-remark-kept-as-sound = a remark, kept as sound
key-a-note-at-station-1-25 = { $unit ->
    [metre] a note: at station 1+25, right 18.4 m
   *[foot] a note: at station 1+25, right 18.4 ft
  }
key-a-note-at-station-1-25-2 = { $unit ->
    [metre] a note: at station 1+25, left 18.4 m
   *[foot] a note: at station 1+25, left 18.4 ft
  }

## The screen; the first words have at most eight letters.

screen-pull = PULL
screen-agrees = AGREES
screen-booked = BOOKED
screen-stop = STOP
screen-asked = ASKED
screen-agrees-2 = = AGREES
screen-booked-2 = = BOOKED
screen-stop-2 = ! STOP
screen-asked-2 = ? ASKED
screen-note = ! note
screen-typed = typed
screen-next = next
screen-or = or
screen-do = do
screen-earlier = earlier
screen-phones = phones
screen-noise = noise
screen-taken = taken
screen-asked-again = asked again
screen-held = held
screen-struck = struck
screen-talk = talk
screen-remark = remark
screen-booked-ft-read = { $unit ->
    [metre] { $pulls } booked, { $length } m read
   *[foot] { $pulls } booked, { $length } ft read
  }
screen-calls-held = { $calls } calls held
screen-ft = { $unit ->
    [metre] { $tape }, { $length } m, { $style }
   *[foot] { $tape }, { $length } ft, { $style }
  }
screen-add = add
screen-cut = cut
screen-full = full
screen-inset = inset
screen-pull-next = { $line }, pull { $pull }; next: { $expected }
screen-a-decision-of-the-chief = a decision of the chief
screen-a-decision-calllog-decide-job-first = a decision: calllog decide JOB { $pull } first|check|again
screen-the-line-is-finished-begin-the = the line is finished: begin the next one
screen-both-switch-ends = both: switch ends
screen-both-switch-ends-or-next-pull = both: switch ends, or next pull
screen-the-reading-of-the = the reading of the { $which }
screen-the-whole-foot-of-the = { $unit ->
    [metre] the whole metre of the { $which }
   *[foot] the whole foot of the { $which }
  }
screen-the-hundredths-of-the = the hundredths of the { $which }
screen-the-whole-foot-the-hundredths-of = { $unit ->
    [metre] the whole metre, the hundredths of the { $which }
   *[foot] the whole foot, the hundredths of the { $which }
  }
screen-rear-the-whole-foot-head-the = { $unit ->
    [metre] rear: the whole metre, head: the hundredths of the { $which }
   *[foot] rear: the whole foot, head: the hundredths of the { $which }
  }
screen-head-the-whole-foot-rear-the = { $unit ->
    [metre] head: the whole metre, rear: the hundredths of the { $which }
   *[foot] head: the whole foot, rear: the hundredths of the { $which }
  }
screen-held-2 = { $reading } - { $held } held = { $length }
screen-keeps = keeps { $length }
screen-strikes-the-last-number = strikes the last number
screen-strikes-the-last-number-opens-pull = strikes the last number, opens pull { $pull } again
screen-begins-the-check = begins the check
screen-measures-this-pull-again = measures this pull again
screen-books-the-pull-unchecked = books the pull unchecked
screen-books-the-pull-unchecked-closes-the = books the pull unchecked, closes the line
screen-closes-the-line = closes the line
screen-head = head: { $question }
screen-rear = rear: { $question }
screen-crew = crew: { $question }
screen-pull-ft = { $unit ->
    [metre] pull { $pull }: { $length } m
   *[foot] pull { $pull }: { $length } ft
  }
screen-pull-ft-not-checked = { $unit ->
    [metre] pull { $pull }: { $length } m, not checked
   *[foot] pull { $pull }: { $length } ft, not checked
  }
screen-pull-ft-difference = { $unit ->
    [metre] pull { $pull }: { $length } m, difference { $difference }
   *[foot] pull { $pull }: { $length } ft, difference { $difference }
  }
screen-pull-ft-difference-take-kept-by = { $unit ->
    [metre] pull { $pull }: { $length } m, difference { $difference }, take kept by { $by }
   *[foot] pull { $pull }: { $length } ft, difference { $difference }, take kept by { $by }
  }
screen-pull-ft-difference-check-kept-by = { $unit ->
    [metre] pull { $pull }: { $length } m, difference { $difference }, check kept by { $by }
   *[foot] pull { $pull }: { $length } ft, difference { $difference }, check kept by { $by }
  }
screen-pull-ft-take-kept-by = { $unit ->
    [metre] pull { $pull }: { $length } m, take kept by { $by }
   *[foot] pull { $pull }: { $length } ft, take kept by { $by }
  }
screen-pull-ft-check-kept-by = { $unit ->
    [metre] pull { $pull }: { $length } m, check kept by { $by }
   *[foot] pull { $pull }: { $length } ft, check kept by { $by }
  }

## Lines of a log.

log-conditions = conditions
log-pull-first-decided-by = > pull { $pull }: first, decided by { $by }
log-pull-check-decided-by = > pull { $pull }: check, decided by { $by }
log-pull-again-decided-by = > pull { $pull }: again, decided by { $by }
log-pull-booked-ft-agreed = { $unit ->
    [metre] = pull { $pull } booked: { $length } m (agreed)
   *[foot] = pull { $pull } booked: { $length } ft (agreed)
  }
log-pull-booked-ft-first = { $unit ->
    [metre] = pull { $pull } booked: { $length } m (first)
   *[foot] = pull { $pull } booked: { $length } ft (first)
  }
log-pull-booked-ft-check = { $unit ->
    [metre] = pull { $pull } booked: { $length } m (check)
   *[foot] = pull { $pull } booked: { $length } ft (check)
  }
log-pull-booked-ft-unchecked = { $unit ->
    [metre] = pull { $pull } booked: { $length } m (unchecked)
   *[foot] = pull { $pull } booked: { $length } ft (unchecked)
  }
log-note = note
log-call-struck = - call { $call } struck
log-call-held-pull-waits = | call { $call } held: pull { $pull } waits
log-pull-opened-again = - pull { $pull } opened again
log-pulls-booked = { $pulls } pulls booked; { $status }.
log-there-is-no-voice-in-this = There is no voice in this language: tones alone; name one with --voice.
log-decide-it = Decide it
log-the-same-command-goes-on-from = The same command goes on from here.
log-caution-keep-steel-tapes-clear-of = Caution: keep steel tapes clear of overhead lines, mind the traffic, keep your ears open, and record nobody without consent.

## Conditions.

condition-temperature = temperature ?
condition-temperature-f = temperature { $degrees } F
condition-temperature-c = temperature { $degrees } C
condition-tension = tension ?
condition-tension-lb = { $unit ->
    [metre] tension { $pounds } N
   *[foot] tension { $pounds } lb
  }
condition-support = support ?
condition-supported-throughout = supported throughout
condition-throughout = throughout
condition-ends-only = ends only
condition-equal-spans = { $spans } equal spans
condition-level = level
condition-rise = rise ?
condition-rise-ft = { $unit ->
    [metre] rise { $rise } m
   *[foot] rise { $rise } ft
  }
condition-rise-ft-2 = { $unit ->
    [metre] rise ? m
   *[foot] rise ? ft
  }
condition-on-the-ground = on the ground
condition-at-the-knee = at the knee
condition-at-the-waist = at the waist
condition-at-the-chest = at the chest
condition-ground = ground
condition-knee = knee
condition-waist = waist
condition-chest = chest
condition-holding-ft = { $unit ->
    [metre] holding { $mark } m
   *[foot] holding { $mark } ft
  }

## The field page.

page-the-day = The day
page-job = Job
page-day = Day
page-not-stated = not stated
page-all-lengths-in = All lengths in
page-lengths-in = { $unit ->
    [metre] metres
   *[foot] { $foot ->
        [us_survey] US survey feet
       *[international] international feet
      }
  }
page-pulls = Pulls
page-length-read = Length read
page-horizontal-length = Horizontal length
page-standard-uncertainty = Standard uncertainty (k = 1)
page-not-known = not known
page-tolerance-of-check = Tolerance of take and check
page-check-policy = { $policy ->
    [required] check required
    [wanted] check wanted
   *[none] check none
  }
page-book-policy = { $policy ->
    [mean] books mean
   *[first] books first
  }
page-state-of-the-job = State of the job
page-pages-of-this-job = Pages of this job
page-lines = Lines
page-about-lines = { $unit ->
    [metre] Each run of a line. Lengths in metres; u is the standard uncertainty (k = 1).
   *[foot] Each run of a line. Lengths in feet; u is the standard uncertainty (k = 1).
  }
page-lines-of-the-day = Lines of the day
page-line = Line
page-line-name = { $run ->
    [1] { $begins } to { $ends }
   *[other] { $begins } to { $ends }, run { $run }
  }
page-read = Read
page-horizontal = Horizontal
page-state = State
page-finished = finished
page-nothing-booked = No pull has been booked.
page-field-notes = Field notes
page-field-notes-of = Field notes of { $line }
page-about-field-notes = { $unit ->
    [metre] Lengths and corrections in metres; a correction is added to the length read. ? = not known, so not corrected for; * = sum without what is not known. Struck values stay legible. Left of the double rule the notes, right of it remarks and findings.
   *[foot] Lengths and corrections in feet; a correction is added to the length read. ? = not known, so not corrected for; * = sum without what is not known. Struck values stay legible. Left of the double rule the notes, right of it remarks and findings.
  }
page-pull = Pull
page-from-point = From
page-to-small = to
page-to = to { $ends }
page-tape-small = tape
page-take = Take
page-check = Check
page-take-small = take
page-conditions = Conditions
page-temperature = { $unit ->
    [metre] { $degrees } °C
   *[foot] { $degrees } °F
  }
page-tension = { $unit ->
    [metre] { $force } N
   *[foot] { $force } lb
  }
page-support = { $spans ->
    [0] throughout
    [1] ends only
   *[other] { $spans } equal spans
  }
page-support-unknown = support ?
page-level = level
page-rise = { $unit ->
    [metre] rise { $rise } m
   *[foot] rise { $rise } ft
  }
page-rise-unknown = { $unit ->
    [metre] rise ? m
   *[foot] rise ? ft
  }
page-position = { $position ->
    [ground] ground
    [knee] knee
    [waist] waist
    [chest] chest
   *[other] { $position }
  }
page-corrections = Corrections
page-running-total = Running total
page-station-small = station
page-remarks-and-findings = Remarks and findings
page-standardisation-short = standard.
page-temperature-short = temp.
page-tension-short = tension
page-sag = sag
page-slope = slope
page-sum = sum
page-no-check = no check
page-none = none
page-stop = Stop
page-note = Note
page-struck = Struck
page-struck-small = struck
page-stands = stands
page-struck-superseded = measured again or overruled
page-struck-overruled = the other was kept
page-struck-call = call { $call } was struck
page-booking = { $booking ->
    [agreed] take and check agree
    [first] take kept, decided by { $who }
    [check] check kept, decided by { $who }
   *[unchecked] not checked
  }
page-policy = policy
page-crew = crew
page-booked = booked
page-calls-of-pull = { $calls ->
    [one] { $calls } call of pull { $pull }
   *[other] { $calls } calls of pull { $pull }
  }
page-with-their-sound = with their sound
page-call-small = call { $number }
page-call = Call { $number }
page-caller = { $role ->
    [head] head
   *[rear] rear
  }
page-typed = typed
page-asked = asked
page-remark-call = Remark, call { $number }
page-remark-of-call = Remark of call { $number }
page-no-sound = its sound is not here
page-lacking = What this line lacks
page-caution-unfinished = the crew did not finish this line
page-caution-unchecked = { $count ->
    [one] not checked: pull { $pulls }
   *[other] not checked: pulls { $pulls }
  }
page-caution-uncorrected = { $count ->
    [one] not corrected, stands as it was read: pull { $pulls }
   *[other] not corrected, stand as they were read: pulls { $pulls }
  }
page-caution-lacking = { $count ->
    [one] no correction for { $correction } known: pull { $pulls }
   *[other] no correction for { $correction } known: pulls { $pulls }
  }
page-correction = { $correction ->
    [standardisation] standardisation
    [temperature] temperature
    [tension] tension
    [sag] sag
   *[slope] slope
  }
page-caution-no-uncertainty = no pull of this line can be corrected: its uncertainty is not known
page-caution-left-out = { $count ->
    [one] not in the uncertainty: pull { $pulls }
   *[other] not in the uncertainty: pulls { $pulls }
  }
page-pull-begun = Pull { $pull } of { $line } was begun and not booked.
page-what-was-called = What was called:
page-forward-against-back = Forward against back
page-about-runs = { $unit ->
    [metre] Horizontal lengths in metres; difference: the second less the first. 1:N is rounded down.
   *[foot] Horizontal lengths in feet; difference: the second less the first. 1:N is rounded down.
  }
page-runs-of-one-line = Runs of one line
page-first = First
page-second = Second
page-difference = Difference
page-mean = Mean
page-precision = Precision
page-runs-compared = run { $one } against { $way ->
    [back] its way back
   *[again] the same again
  }, run { $other }{ $finished ->
    [both] {""}
   *[other] ; not both are finished
  }
page-alike = alike to the last figure
page-no-line-measured-again = No line was measured a second time, so there is no forward against back.
page-line-not-measured-again = This line was not measured a second time, so there is no forward against back.
page-notes = Station and offset notes
page-about-notes = { $unit ->
    [metre] Offsets square off the line, metres, looking the way it is taped.
   *[foot] Offsets square off the line, feet, looking the way it is taped.
  }
page-station = Station
page-side = Side
page-which-side = { $side ->
    [left] left
   *[right] right
  }
page-offset = Offset
page-when = When
page-as-it-was-said = As it was said
page-no-notes = None.
page-remarks-on-line = Remarks on { $line }, on a pull that was not booked
page-who-decided-what = Who decided what, and when
page-about-decisions = From the journal, in the order in which it was recorded. Take and check that agree within the tolerance are booked by the line’s policy and not listed.
page-decisions = Decisions
page-what = What
page-who = Who
page-journal-entry = Entry
page-the-whole-job = the whole job
page-deed-decided = { $choice ->
    [first] the first was kept
    [check] the check was kept
   *[again] the pull is measured again
  }
page-deed-struck = { $because ->
    [typed] call { $call } was struck, since another value was typed
   *[said] call { $call } was struck
  }
page-deed-reopened = the pull was opened again after it was booked
page-deed-certificate = the certificate of tape { $tape } in entry { $old } was replaced by that of entry { $new }
page-deed-certificate-why = { page-deed-certificate }: { $why }
page-said-by = { $role ->
    [head] head
    [rear] rear
   *[unsaid] the crew
  }, { $how ->
    [typed] typed
   *[said] said
  }
page-by-phone = { $name }, on the phone
page-by-computer = the computer
page-all-by-policy = Nobody had to decide anything: all was booked by the line’s policy.
page-nobody-decided = Nobody had to decide anything.
page-signed-off = Signed off
page-changed-since = { $entries ->
    [one] Changed since by { $entries } entry
   *[other] Changed since by { $entries } entries
  }
page-signed-by = by { $name } on { $date }
page-signed-as-of = as of entry { $entry }, hash
page-unchanged-since = unchanged since
page-rescued-from = Rescued from { $job } on { $time }:
page-rescued = { $entries ->
    [one] { $entries } entry of the journal was carried over
   *[other] { $entries } entries of the journal were carried over
  }; { $lost ->
    [one] { $lost } later one is known to be lost
   *[other] { $lost } later ones are known to be lost
  }, { $sounds ->
    [one] { $sounds } sound is lost
   *[other] { $sounds } sounds are lost
  }.
page-rescued-kept = Lost entries that can still be read are kept in { $file }.
page-rescued-wrong = What was wrong:
page-nobody-signed = Nobody has signed this job off.
page-uncertainty = Uncertainty and what makes it
page-uncertainty-of-line = Standard uncertainty of the horizontal length (k = 1)
page-uncertainty-from = { $unit ->
    [metre] { $random } m from what differs from pull to pull, { $common } m from what is common to all pulls.
   *[foot] { $random } ft from what differs from pull to pull, { $common } ft from what is common to all pulls.
  }
page-about-budget = Greatest share first. Random inputs add in squares along the line, common ones in proportion.
page-budget = Budget of the uncertainty
page-kind = Kind
page-distribution = Distribution
page-input-u = u of the input
page-sensitivity = { $unit ->
    [metre] Sensitivity, m per unit
   *[foot] Sensitivity, ft per unit
  }
page-contribution = { $unit ->
    [metre] Contribution, m
   *[foot] Contribution, ft
  }
page-share = Share
page-source = Source
page-no-uncertainty = No pull of this line can be corrected, so its uncertainty is not known.
page-crew-repeats = { $pairs ->
    [one] The crew: { $pairs } checked pull repeats
   *[other] The crew: { $pairs } checked pulls repeat
  } to { $one } { $unit ->
    [metre] m
   *[foot] ft
  } for one measurement (95 %: { $low } to { $high } { $unit ->
    [metre] m
   *[foot] ft
  }).
page-crew-not-known = No pull was measured twice and agreed, so the crew’s repeatability is not known.
page-plots = Plots
page-tape-certificates = Tape certificates
page-certificate-of-tape = Certificate of tape { $tape }
page-tape = Tape { $tape }
page-certificate-entry = Entry of the certificate
page-cautions = Cautions
page-caution-boundaries = Boundaries are decided by licensed practice under local law.
page-caution-measured-only = This page says what was measured, not where a boundary lies.
page-caution-not-known = What is not known is not corrected for, and is marked. Corrections are worked by the formulas and certificates named; an office checks them before it relies on them.
page-caution-safety = Steel tapes conduct: keep clear of overhead lines. Mind the traffic, keep both ears open. Record nobody without consent; the sound of calls may come with this page.
page-software = Software
page-calls-taken-by = Calls taken by
page-keys = keys
page-written = Written
page-last-hash = Hash of the journal’s last entry
page-about-journal = Computed from the journal alone; the command “calllog verify” proves it by this hash. Times are in UTC; those of a recording say when it was taken in.

## A certificate on the page.

page-edition-in-force = { $says ->
    [by] Entry { $entry }, in force, by { $by }
    [why] Entry { $entry }, in force: { $why }
    [by-and-why] Entry { $entry }, in force, by { $by }: { $why }
   *[nothing] Entry { $entry }, in force
  }
page-edition-replaced = { $says ->
    [by] Entry { $entry }, replaced, by { $by }
    [why] Entry { $entry }, replaced: { $why }
    [by-and-why] Entry { $entry }, replaced, by { $by }: { $why }
   *[nothing] Entry { $entry }, replaced
  }
page-certificate = Certificate
page-date = Date
page-laboratory = Laboratory
page-holds = Holds
page-holds-days = { $bounds ->
    [begin] from { $begin }
    [end] until { $end }
   *[both] from { $begin } until { $end }
  }
page-graduation = Graduation
page-style = { $style ->
    [add] add
    [cut] cut
    [inset] inset
   *[full] full
  }
page-nominal-length = Nominal length
page-held-mark = Held mark
page-certificate-foot = Foot
page-which-foot = { $foot ->
    [us-survey] US survey foot
   *[international] international foot
  }
page-certified-length = Certified length
page-certified-uncertainty = Its standard uncertainty
page-certified-temperature = At a temperature of
page-certified-tension = Under a tension of
page-certified-support = Supported
page-certified-spans = { $spans ->
    [0] throughout
    [1] at the ends only
   *[other] at { $spans } equal spans
  }
page-weight = Weight
page-mass = Mass
page-cross-section = Cross section
page-modulus = Modulus of elasticity
page-expansion = Expansion
page-per-degree = { $unit ->
    [metre] { $alpha } per °C
   *[foot] { $alpha } per °F
  }

## What makes the uncertainty; sources are cited as they are.

source-common-practice = common practice, no published source
source-least-count = { $unit ->
    [metre] half of the least count, 0.01 m (GUM F.2.2.1)
   *[foot] half of the least count, 0.01 ft (GUM F.2.2.1)
  }
input-kind = { $kind ->
    [random] random
    [common] common
   *[one-way] one-way
  }
input-shape = { $shape ->
    [normal] normal
    [rectangular] rectangular
    [triangular] triangular
   *[arcsine] arcsine
  }
input-reading = reading
input-marking = marking
input-certified-length = certified length, tape { $of }
input-stiffness = stiffness AE, tape { $of }
input-weight = { $unit ->
    [metre] weight per metre, tape { $of }
   *[foot] weight per foot, tape { $of }
  }
input-expansion = expansion of steel
input-thermometer = thermometer
input-temperature = temperature of the tape
input-temperature-unknown = temperature not known
input-plumbing = plumbing both ends, { $of ->
    [ground] ground
    [knee] knee
    [waist] waist
   *[chest] chest
  }
input-sag-unknown = sag not known
input-slope-unknown = slope not known
input-level = level
input-rise = rise
input-off-line = off line
input-tension-unknown = tension not known
input-tension-habit = tension, habit or balance
input-tension = tension from pull to pull
input-tension-times-habit = tension from pull to pull times habit
input-mean = { $input }, mean
input-spread = { $input }, spread
budget-uncertainty = { $unit ->
    [metre] the standard uncertainty of { $length } m is { $u } m
   *[foot] the standard uncertainty of { $length } ft is { $u } ft
  }
budget-adds-most = { $input } ({ $kind }) adds the most, { $share } of the variance
budget-would-help = { $unit ->
    [metre] { $improvement } would bring it from { $u } to { $better } m
   *[foot] { $improvement } would bring it from { $u } to { $better } ft
  }
budget-nothing-helps = nothing that is listed would help much
budget-left-out = { $count ->
    [one] not in it, since it cannot be corrected: pull { $pulls }
   *[other] not in it, since they cannot be corrected: pulls { $pulls }
  }
improve-spring-balance = a spring balance in place of tension by feel
improve-thermometer = a thermometer clipped to the tape in place of one in the air
improve-certificate = a fresh laboratory certificate in place of the present one
improve-held-low = the ends held at knee height or lower in place of higher
improve-tripods = tripods with fine marks in place of plumb bobs and pins
improve-rises = { $unit ->
    [metre] rises measured to a metre in a thousand in place of levelling by eye
   *[foot] rises measured to a foot in a thousand in place of levelling by eye
  }
improve-lining-in = lining in by instrument in place of by eye
improve-tape-weighed = the tape weighed and its cross section measured in place of usual figures
improve-temperature-stated = the temperature stated for every pull
improve-tension-stated = tension and support stated for every pull
improve-rise-stated = the rise, or level, stated for every pull

## Plots.

page-plots-missing = The plots are left out: install them with: pip install 'calllog[plots]'
plot-differences = Check differences through the day
plot-differences-none = No pull was measured twice.
plot-differences-words = { $checked } of { $pulls } { $pulls ->
    [one] pull
   *[other] pulls
  } { $checked ->
    [one] has
   *[other] have
  } a check. { $unit ->
    [metre] Greatest difference { $greatest } m, tolerance { $tolerance } m
   *[foot] Greatest difference { $greatest } ft, tolerance { $tolerance } ft
  }; beyond it: { $beyond }.
plot-none-beyond = none
plot-beyond-pull = { $unit ->
    [metre] pull { $pull } { $difference } m
   *[foot] pull { $pull } { $difference } ft
  }
plot-beyond-and-more = { $listed } and more
plot-within = within the tolerance
plot-tolerance = tolerance
plot-beyond = beyond it, decided (value written)
plot-check-minus-take = { $unit ->
    [metre] check minus take, m
   *[foot] check minus take, ft
  }
plot-number-of-pull = number of the pull
plot-corrections = Corrections of each pull, stacked
plot-corrections-none = No pull was booked.
plot-corrections-words = { $unit ->
    [metre] Sums of the corrections: { $range } m a pull.
   *[foot] Sums of the corrections: { $range } ft a pull.
  } A correction is not known in { $lacking } of { $pulls } { $pulls ->
    [one] pull
   *[other] pulls
  }.
plot-range = { $least } to { $most }
plot-sum = sum
plot-correction = { $unit ->
    [metre] correction, m
   *[foot] correction, ft
  }
plot-drift = { $unit ->
    [metre] Temperature, and what it does to 100 m of tape
   *[foot] Temperature, and what it does to 100 ft of tape
  }
plot-drift-none = No temperature was stated.
plot-drift-words = Temperature stated for { $stated } of { $pulls } { $pulls ->
    [one] pull
   *[other] pulls
  }: { $unit ->
    [metre] { $range } °C; certified at { $standards } °C
   *[foot] { $range } °F; certified at { $standards } °F
  }.
plot-tape = tape
plot-drift-changed = { $unit ->
    [metre] 100 m of tape changed by { $range } m against its certificate.
   *[foot] 100 ft of tape changed by { $range } ft against its certificate.
  }
plot-certified = certified
plot-temperature = { $unit ->
    [metre] temperature, °C
   *[foot] temperature, °F
  }
plot-temperature-correction = correction
plot-per-hundred = { $unit ->
    [metre] m per 100 m
   *[foot] ft per 100 ft
  }
plot-certainty = How sure the recogniser was of each call, and what was asked
plot-certainty-none = No call was heard; all were typed.
plot-certainty-words = { $calls ->
    [one] { $calls } call was heard
   *[other] { $calls } calls were heard
  }, { $asked } led to a question.
plot-taken = taken
plot-certainty-least = Least certainty of a call taken: { $least } %.
plot-asked = asked about
plot-number-of-call = number of the call
plot-certainty-percent = certainty, %

## The printed card.

page-voice-protocol-for-taping-crews = Voice protocol for taping crews
page-a-pull = A pull
page-closed-loop = Closed loop
page-numbers = Numbers
page-commands = Commands
page-conditions-from-then-on = Conditions, from then on
page-tones = Tones
page-keypad-at-any-moment-is-enter = Keypad, at any moment ({ $enter } is Enter)
page-crew-talk-is-not-taken-and = Crew talk is not taken: { $talk } and the like. calllog { $version }, grammar { $grammar }.
page-change-ends-the-check-follows = change ends; the check follows
page-the-pull-from-its-start-the = the pull from its start; the log keeps both
page-at-a-stop-the-first-stands = at a stop: the first stands
page-at-a-stop-the-second-stands = at a stop: the second stands
page-goes-on-without-a-check-where = goes on without a check, where none is needed
page-what-is-said-next-is-kept = what is said next is kept as sound
page-of-the-tape-degrees-fahrenheit = { $unit ->
    [metre] of the tape, degrees Celsius
   *[foot] of the tape, degrees Fahrenheit
  }
page-how-the-tape-is-supported = how the tape is supported
page-where-the-tape-is-held = where the tape is held
page-height-between-the-two-ends-feet = { $unit ->
    [metre] height between the two ends, metres
   *[foot] height between the two ends, feet
  }
page-foot-mark-at-the-other-end = { $unit ->
    [metre] metre mark at the other end
   *[foot] foot mark at the other end
  }
page-another-tape = another tape
page-another-line = another line
page-number = number
page-feet-point-hundredths = { $unit ->
    [metre] metres point hundredths
   *[foot] feet point hundredths
  }
page-one-short-beep = one short beep
page-heard-it-is-in-the-log = heard: it is in the log
page-two-quick-rising = two quick, rising
page-take-and-check-agree-booked = take and check agree: booked
page-two-the-second-long = two, the second long
page-a-question-say-it-again = a question: say it again
page-three-long-low = three long, low
page-stop-take-and-check-differ = STOP: take and check differ
page-a-click = a click
page-a-key-was-taken = a key was taken
page-one-very-long-low = one very long, low
page-the-key-means-nothing-here = the key means nothing here
page-two-falling = two, falling
page-what-was-typed-is-cleared = what was typed is cleared
page-four-quick-very-high = four quick, very high
page-look-at-the-screen-device-or = look at the screen: device or noise
page-b-take-b-one-end-calls = { $unit ->
    [metre] <b>Take.</b> One end calls the whole metre, the other the hundredths; or one calls it all.
   *[foot] <b>Take.</b> One end calls the whole foot, the other the hundredths; or one calls it all.
  }
page-change-ends-and-both-call-again = { $switch }, change ends, and both call again: this is the <b>check</b>.
page-within-the-tolerance-it-is-booked = Within the tolerance it is booked; the next call begins the next pull.
page-a-tape-that-b-cuts-b = A tape that <b>cuts</b>: call the mark held and the hundredths apart, never subtract.
page-b-call-b-then-wait-for = <b>Call</b>, then wait for tone or read-back: while it speaks, it does not hear you.
page-b-right-b-say-nothing-b = <b>Right?</b> Say nothing: <b>silence is consent.</b>
page-b-wrong-b-say-and-call = <b>Wrong?</b> Say { $scratch }, and call again.
page-b-asked-b-say-it-again = <b>Asked?</b> Say it again, both digits, one by one.
page-b-stop-b-nobody-moves-on = <b>STOP?</b> Nobody moves on. Look at the marks, say { $again }, or the chief decides.
page-b-overhead-lines-b-steel-conducts = <b>Overhead lines:</b> steel conducts. Keep clear, also of electric fences, rails, storms.
page-b-traffic-b-follow-the-local = <b>Traffic:</b> follow the local traffic control. <b>Both ears open</b>, whatever you wear.
page-b-tape-under-tension-b-whips = <b>Tape under tension</b> whips. Gloves, eye protection, face aside. Plumb bobs have points.
page-b-recording-b-sound-of-calls = <b>Recording:</b> sound of calls is kept. Crew and bystanders must consent, as the law asks.
page-b-local-safety-rules-and-licensed = <b>Local safety rules and licensed practice come first.</b>
page-whole-foot-15 = { $unit ->
    [metre] whole metre, 15
   *[foot] whole foot, 15
  }
page-hundredths-42 = hundredths, .42
page-below-ten-05 = below ten, .05
page-all-in-one-15-42 = all in one, 15.42
page-the-whole-tape = the whole tape
page-one-microphone = one microphone
page-a-note-1-25 = a note, 1+25
page-or-first = { $head } or { $rear } first
page-never-one-digit = { $forms }; never one digit
