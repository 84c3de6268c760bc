### What format 1 of the journal wrote in place of codes and facts. Never edited: entries of that
### format are compared with what these sentences give. For all that is said today see `en.ftl`.

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

finding-one-foot = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one foot apart: a foot added where the tape cuts, or the held foot forgotten
    .remedy = look which foot mark is held and measure again
finding-one-metre = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one metre apart: a metre added where the tape cuts, or the held metre forgotten
    .remedy = look which metre mark is held and measure again
finding-ten-feet = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly ten feet apart: a ten-foot mark misread
    .remedy = read the tens at the mark and measure again
finding-ten-metres = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly ten metres apart: a ten-metre mark misread
    .remedy = read the tens at the mark and measure again
finding-tape-length = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one tape length apart: a pull dropped or counted twice
    .remedy = count the pulls and measure again
finding-tape-complement = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: the two add up to the tape: one was read from the other end
    .remedy = look which way the numbers run and measure again
finding-foot-complement = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: the hundredths add up to a foot: one was read from the wrong side of the mark
    .remedy = read the hundredths from the zero side and measure again
finding-metre-complement = take { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: the hundredths add up to a metre: one was read from the wrong side of the mark
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
