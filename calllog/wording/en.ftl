### What calllog says and writes, in English: one message for each code.
###
### Facts come as variables. Readings are whole numbers of hundredths and are written by HUNDREDTHS
### (15.42), WHOLE (15), PART (.42), SAID (42), STATION (3+12.40) and KILOMETRES (1+234.50); DURATION writes seconds (2 h 1 min).
### $unit is foot or metre, what the tape is graduated in. A finding's remedy is its attribute.
### Any sentence here may be mended at any time: no job keeps it.

## What is asked of the crew, and why words are not taken.

say-again = { $role ->
    [head] head,{" "}
    [rear] rear,{" "}
   *[unsaid] {""}
  }say again { $part ->
    [whole] { $unit ->
        [metre] the whole meter
       *[foot] the whole foot
      }
    [fraction] the hundredths
   *[reading] the reading
  }{ $measurement ->
    [take] {" "}of the first
   *[check] {""}
  }
say-again-or-type = { $role ->
    [head] head,{" "}
    [rear] rear,{" "}
   *[unsaid] {""}
  }say again or type { $part ->
    [whole] { $unit ->
        [metre] the whole meter
       *[foot] the whole foot
      }
    [fraction] the hundredths
   *[reading] the reading
  }{ $measurement ->
    [take] {" "}of the first
   *[check] {""}
  }
typed-before = { $role ->
    [head] head,{" "}
    [rear] rear,{" "}
   *[unsaid] {""}
  }{ $part ->
    [whole] { WHOLE($value) } was typed for this pull before; say again or type { $unit ->
        [metre] the whole meter
       *[foot] the whole foot
      }
   *[fraction] { SAID($value) } was typed for this pull before; say again or type the hundredths
  }
states-no-condition = that states no condition
less-than-nothing = { WHOLE($whole) } minus { SAID($fraction) } hundredths is less than zero
both-parts-again = { $why }; say both parts again
rise-in-force-beyond-tape = { $unit ->
    [metre] the rise of { $rise } m is more than the tape length; state the rise, then say both parts again
   *[foot] the rise of { $rise } ft is more than the tape length; state the rise, then say both parts again
  }
rise-beyond-tape = { $unit ->
    [metre] a rise of { $rise } m is more than the tape length
   *[foot] a rise of { $rise } ft is more than the tape length
  }
same-as-other-part = { $unit ->
    [metre] { SAID($value) } and { SAID($value) }? call the meter and the hundredths together
   *[foot] { SAID($value) } and { SAID($value) }? call the foot and the hundredths together
  }
one-digit = { $digit ->
    [0] { $said } is not two digits; say both digits
   *[other] { $said } may be .0{ $digit } or .{ $digit }0; say both digits
  }
three-digits-due = { $said } is not three digits; say all three
least-count-of-tape = { $said } cannot be read on this tape; { $unit ->
    [metre] it is read to the millimeter
   *[foot] it is read to 0.005 ft: a half is called as five
  }
again-or-hundredths = { $value } again, or { $value } hundredths? say point before hundredths
    .short = say point before hundredths
who-holds-whole = { $about ->
    [order] is it { HUNDREDTHS($first) } or { HUNDREDTHS($other) }? call the whole reading
   *[holder] who holds the { $unit ->
        [metre] meter
       *[foot] foot
      }{ $other ->
        [-1] {""}
       *[other] : { $holder ->
            [head] head
            [rear] rear
           *[other] { $holder }
          } for { HUNDREDTHS($first) }, { $other_holder ->
            [head] head
            [rear] rear
           *[other] { $other_holder }
          } for { HUNDREDTHS($other) }
      }? say { $unit ->
        [metre] I've got the meter
       *[foot] I've got the foot
      }, or call the whole reading
  }
    .short = { $about ->
        [order] is it { HUNDREDTHS($first) } or { HUNDREDTHS($other) }?
       *[holder] who holds the { $unit ->
            [metre] meter
           *[foot] foot
          }?
      }
    .how = { $about ->
        [order] call the whole reading
       *[holder] say { $unit ->
            [metre] I've got the meter
           *[foot] I've got the foot
          }, or call the whole reading
      }
    .firmly = { $about ->
        [order] no call is taken: call the whole reading
       *[holder] no call is taken: say { $unit ->
            [metre] I've got the meter
           *[foot] I've got the foot
          }, or call the whole reading
      }
nobody-holds-whole = it is not known here who calls what; call the whole reading
holder-told-otherwise = { $holder ->
    [head] head
   *[rear] rear
  } must hold it now, since the other one held it in the first measurement; switch ends, or measure again
take-held-otherwise = the first was taken with { $holder ->
    [head] head
   *[rear] rear
  } holding it; if that is wrong, measure again; if not, switch ends first
call-both-again = what was called does not fit that and is struck; call both parts again
nothing-held-here = { $unit ->
    [metre] on this tape nothing is held in place of zero: call the meter mark and the hundredths
   *[foot] on this tape nothing is held in place of zero: call the foot mark and the hundredths
  }
zero-not-held-here = the zero of this tape cannot be held: say which mark is held
say-read-and-held = on this tape a mark is held: say what is read and what is held
tape-cuts = { $unit ->
    [metre] this tape cuts: say the meter mark and the hundredths apart
   *[foot] this tape cuts: say the foot mark and the hundredths apart
  }
say-style = { WHOLE($whole) }, { PART($fraction) }: say cut tape or add tape, or the call again with cut or add before it
    .short = cut tape, or add tape?
say-one-reading = { $unit ->
    [metre] this tape is read at one end: say meters and hundredths in one call
   *[foot] this tape is read at one end: say feet and hundredths in one call
  }
numbered-from-one = the first { $what } is number 1
finish-pull-first = finish pull { $pull } before changing the { $what }
said-while-waiting = { $what } number { $number } was said while a pull waited; say it again{ $later ->
    [0] {""}
   *[other] , then what was called after it
  }
nothing-to-decide = there is nothing to decide
keyed-and-heard = { $part ->
    [whole] { WHOLE($keyed) } was typed, { WHOLE($heard) } said
   *[fraction] { PART($keyed) } was typed, { PART($heard) } said
  }; was the typed one wrong? strike that and call again
stop-stands = pull { $pull } waits for a decision: "keep the first", "keep the second" or "measure again"
line-finished = the line is finished
line-finished-no-call = the line is finished; say the next line by its number
no-call-to-scratch = there is no call to strike
lone-word = heard { $said }; say it again if it is a call
    .short = { $said }; say again
again-or-next-pull = { $said } again, or the next pull? say it again if it is the next
    .short = { $said } again, or next?
mended-or-next-pull = { $said } for the pull before, or the next pull? strike that and call again, or say it again if it is the next
    .short = { $said }: for the one before, or next?
struck-before = heard { $said } again, which was struck; say it another way, or type it
    .short = { $said } was struck; say it another way, or type it
struck-figure = heard { $said } again, which was struck; say it again if it is right, or type it
    .short = { $said } was struck; say it again if it is right, or type it
which-pull = { $about ->
    [next] pull { $pull } was { HUNDREDTHS($before) }; is this the next pull? say next pull, or strike that
   *[again] pull { $pull } was { HUNDREDTHS($before) }; is { HUNDREDTHS($reading) } that pull? call the whole reading, or strike that
  }
    .short = { $about ->
        [next] is this the next pull? say next pull, or strike that
       *[again] is this pull { $pull }? call the whole reading, or strike that
      }
heard-on-both = both microphones heard it; the one whose call it is, say it again
    .short = whose was it? say again
check-needed = this line needs a check: switch ends first
before-switching = before switching: { $status }
before-moving-on = before moving on: { $status }
still-to-measure = pull { $pull } waits; measure again{ $command ->
    [finish] , or say line finished again
   *[next] {""}
  }
no-decision-awaited = pull { $pull } is not waiting for a decision; { $status }
beyond-tape = { $unit ->
    [metre] { HUNDREDTHS($reading) } is beyond this { $tape } m tape
   *[foot] { HUNDREDTHS($reading) } is beyond this { $tape } ft tape
  }
words-beyond-tape = { $unit ->
    [metre] { $said } is beyond this { $tape } m tape
   *[foot] { $said } is beyond this { $tape } ft tape
  }
station-beyond-line = { $unit ->
    [metre] station { KILOMETRES($station) } lies beyond this line, taped to { KILOMETRES($taped) }
   *[foot] station { STATION($station) } lies beyond this line, taped to { STATION($taped) }
  }
no-call-made-out = no call could be made out
not-sure-of = not sure of { $said }; say it again
    .short = { $said }; say again
not-sure-of-style = not sure of { $said }; say it again, or type 8/ where the tape adds, 7/ where it cuts
    .short = { $said }; say again
crew-talk = crew talk
remark-kept = a remark, kept as sound
nothing-said = nothing was said
not-a-call-word = "{ $word }" is not a word that calls use
word-does-not-belong = "{ $word }" does not belong there
call-breaks-off = the call breaks off
mended-in-one-breath = two calls in one; say the right one alone
    .short = the right one alone
too-many-figures = { $said } is { $count } digits; say the number again, alone
    .short = say the number again, alone
after-comes-number = after { $before } comes a number
after-comes-reading = { $unit ->
    [metre] after { $before } comes meters, "point" and two digits
   *[foot] after { $before } comes feet, "point" and two digits
  }
is-hundredths = { $unit ->
    [metre] { $said } is hundredths; a whole meter is due here
   *[foot] { $said } is hundredths; a whole foot is due here
  }
is-whole = { $unit ->
    [metre] { $said } is a whole meter; hundredths are due here
   *[foot] { $said } is a whole foot; hundredths are due here
  }
is-part = { $unit ->
    [metre] { $said } is only a part; meters and hundredths are due
   *[foot] { $said } is only a part; feet and hundredths are due
  }
may-be = { $count ->
    [1] { $said } may be { $may_be_1 }; say point and both digits
    [2] { $said } may be { $may_be_1 } or { $may_be_2 }; say point and both digits
    [3] { $said } may be { $may_be_1 } or { $may_be_2 } or { $may_be_3 }; say point and both digits
   *[other] { $said } may be { $may_be_1 } or { $may_be_2 } or { $may_be_3 } or { $may_be_4 }; say point and both digits
  }
station-form = { $unit ->
    [metre] a station is a number, "plus" and three digits
   *[foot] a station is hundreds, "plus" and two digits
  }
station-hundreds = before "plus" comes a number from 0 to 99
station-side = after the station comes left or right
station-plus = { $unit ->
    [metre] after "plus" come three digits
   *[foot] after "plus" come two digits
  }
station-one-digit = plus { $said } may be 0{ $digit } or { $digit }0; say both digits
offset-form = { $unit ->
    [metre] after { $side } come meters, or meters, point and tenths
   *[foot] after { $side } come feet, or feet, point and tenths
  }
offset-beyond = { $unit ->
    [metre] an offset goes up to { $most } m
   *[foot] an offset goes up to { $most } ft
  }
sound-was-lost = some sound was lost, say it again
said-before-decision = that was called before the decision; say it again if it is for the next pull
said-under-voice = it was said while this voice was speaking, say it again
    .short = { $role ->
        [head] head,{" "}
        [rear] rear,{" "}
       *[unsaid] {""}
      }again
as-written = { $text }
as-told = { $words }

## Where the work stands.

pull-waits = pull { $pull } waits for { $part ->
    [whole] { $unit ->
        [metre] the whole meter of the { $measurement ->
            [take] first
           *[check] check
          }
       *[foot] the whole foot of the { $measurement ->
           [take] first
          *[check] check
         }
      }
    [fraction] the hundredths of the { $measurement ->
        [take] first
       *[check] check
      }
   *[all] the { $measurement ->
       [take] first
      *[check] check
     }
  }
pull-waits-for-switch = pull { $pull } waits for switching ends
pull-waits-for-decision = pull { $pull } waits for a decision{ $held ->
    [0] {""}
    [one] , { $held } call held
   *[other] , { $held } calls held
  }
pull-waits-for-right-tape = pull { $pull } waits: measure again with the right tape by its number, or strike the word if it was a slip
pull-waits-for-answer = pull { $pull } waits: { $question }
whose-turn = { $status }{ $whole_by ->
    [head] . head calls { $unit ->
        [metre] the whole meter
       *[foot] the whole foot
      }, rear the hundredths
    [rear] . rear calls { $unit ->
        [metre] the whole meter
       *[foot] the whole foot
      }, head the hundredths
   *[unsaid] {""}
  }

## Findings: what fits where first and check differ, and what else must be known of a pull.

finding-one-foot = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one foot apart: another foot mark was held, read or called
    .short = one foot
    .remedy = see which foot mark is held and which is read, and measure again
finding-one-metre = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one meter apart: another meter mark was held, read or called
    .short = one meter
    .remedy = see which meter mark is held and which is read, and measure again
finding-foot-mark = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: { $unit ->
    [metre] exactly one meter apart
   *[foot] exactly one foot apart
  }: { $style ->
    [add] another mark was held, or called
    [cut] another mark was held, or one was called as if it were cut already
    [inset] another mark was read, or the held mark was already taken off
   *[full] another mark was read, or a mark was held and not zero
  }
    .short = { $unit ->
        [metre] one meter
       *[foot] one foot
      }
    .remedy = { $style ->
        [add] see which mark is held, call it as it stands, and measure again
        [cut] see which mark is held, call it as it stands, never subtract, and measure again
        [inset] see which mark is held and which is read, call it as it stands, and measure again
       *[full] see whether zero is held and which mark is read, and measure again
      }
finding-held-mark = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: { $held ->
    [differs] the same was read, but { HUNDREDTHS($held_first) } was held in the first measurement and { HUNDREDTHS($held_check) } in the check
   *[alike] apart by the held { HUNDREDTHS($held_check) }: in one of them it was already taken off
  }
    .short = the held mark
    .remedy = see which mark is held, say it, and measure again
finding-ten-feet = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly ten feet apart: a ten-foot mark misread
    .short = ten feet
    .remedy = read the tens at the mark and measure again
finding-ten-metres = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly ten meters apart: a ten-meter mark misread
    .short = ten meters
    .remedy = read the tens at the mark and measure again
finding-hundred-feet = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one hundred feet apart: a hundred misread or left out
    .short = one hundred feet
    .remedy = read the hundreds at the mark and measure again
finding-tape-length = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one tape length apart: zero and the far end of the tape were taken for each other
    .short = one tape length
    .remedy = see which end of the tape is at which mark and measure again
finding-tape-complement = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: the two add up to the tape: one was read from the other end
    .short = wrong end
    .remedy = see which end of the tape is zero and measure again
finding-foot-complement = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: the hundredths add up to a foot: one was read from the wrong side of the mark
    .short = wrong side
    .remedy = read the hundredths from the zero side and measure again
finding-metre-complement = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: the hundredths add up to a meter: one was read from the wrong side of the mark
    .short = wrong side
    .remedy = read the hundredths from the zero side and measure again
finding-already-cut = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: { $odd ->
    [first] the first looks as if the hundredths were already cut off by the one who called it
   *[check] the check looks as if the hundredths were already cut off by the one who called it
  }
    .short = already cut
    .remedy = this tape cuts: call the mark held and the hundredths as they stand, never subtract, and measure again
finding-taken-off = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: { $odd ->
    [first] the first looks as if the hundredths were taken off
   *[check] the check looks as if the hundredths were taken off
  }
    .short = taken off
    .remedy = this tape adds: call the mark held and the hundredths as they stand, and measure again
finding-swapped = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: two digits swapped
    .short = digits swapped
    .remedy = say the digits one by one and measure again
finding-six-nine = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: six and nine: a figure read upside down
    .short = six and nine
    .remedy = turn the tape upright and measure again
finding-teen-ty = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: sound-alikes, such as thirteen and thirty
    .short = sound alike
    .remedy = say the digits one by one and measure again
finding-sound-alike = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: sound-alike digits, such as five and nine
    .short = sound alike
    .remedy = say the digits one by one and measure again
finding-one-tenth = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: exactly one tenth apart: a tenth misread
    .short = one tenth
    .remedy = read the tenths at the mark and measure again
finding-inches = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: feet and inches: one was read with twelve inches to the foot
    .short = feet and inches
    .remedy = read tenths and hundredths, no inches, and measure again
finding-differs = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: no known blunder fits
    .short = the two differ
    .remedy = look at both marks and measure again
# What stands after the remedy of a finding that knows who called what differs.
finding-called-by = { $part ->
    [whole] { $unit ->
        [metre] the meter mark was called
       *[foot] the foot mark was called
      }
    [fraction] the hundredths were called
   *[reading] the reading was called
  } by { $first_by } in the first measurement, by { $check_by } in the check
finding-within-tolerance = first { HUNDREDTHS($first) }, check { HUNDREDTHS($second) }: within the tolerance
    .short = within the tolerance
finding-style-contradicted = the crew says { $said ->
    [cut] cut
   *[add] add
  }, but the certificate of tape { $tape } says { $style ->
    [cut] cut
    [add] add
    [inset] that its zero lies in from the ring
   *[full] hundredths all the way
  }: the wrong certificate, or the wrong tape in hand
    .short = cut or add
    .remedy = measure again with the right tape by its number, or strike the word if it was a slip
finding-style-not-confirmed = nobody said how tape { $tape } reads; it was reduced as its certificate says: { $style ->
    [cut] cut
    [add] add
    [inset] zero in from the ring
   *[full] hundredths all the way
  }
    .short = style not said
    .remedy = look at the tape itself before this line is used
finding-unchecked = the wanted check was not made
    .short = check not made
finding-long-gap = { $seconds } seconds between the parts of one measurement
    .short = long gap
    .remedy = see whether they belong together
finding-not-sure = not sure of { $part ->
    [whole] { $unit ->
        [metre] the whole meter of the { $measurement ->
            [take] first
           *[check] check
          }
       *[foot] the whole foot of the { $measurement ->
           [take] first
          *[check] check
         }
      }
    [fraction] the hundredths of the { $measurement ->
        [take] first
       *[check] check
      }
   *[reading] the reading of the { $measurement ->
       [take] first
      *[check] check
     }
  }
    .short = not sure
    .remedy = { $severity ->
        [stop] say "keep the first", "keep the second" or "measure again"
       *[note] look at what was said
      }
finding-repeat-differs = { $part ->
    [whole] { $unit ->
        [metre] the whole meter was { WHOLE($first) }, now { WHOLE($second) }
       *[foot] the whole foot was { WHOLE($first) }, now { WHOLE($second) }
      }
    [fraction] the hundredths were { PART($first) }, now { PART($second) }
   *[length] the length was { HUNDREDTHS($first) }, now { HUNDREDTHS($second) }
  }
    .short = not alike
    .remedy = say "strike that", "keep the first", "keep the second" or "measure again"
finding-tried-again = read again after a stop
    .short = read again
finding-repeats-pull = read { HUNDREDTHS($second) }, and the pull before it { HUNDREDTHS($first) }
    .short = same as the pull before
    .remedy = see whether it is that pull again
finding-unlike-stopped = read { HUNDREDTHS($second) } after a stop at { HUNDREDTHS($first) }
    .short = not as before the stop
    .remedy = see whether it is another pull
finding-who-holds-whole = nobody said who held the { $unit ->
    [metre] meter
   *[foot] foot
  }: one way it is { HUNDREDTHS($first) }, the other way { HUNDREDTHS($second) }
    .short = { $unit ->
        [metre] who holds the meter
       *[foot] who holds the foot
      }
    .remedy = keep the first for { HUNDREDTHS($first) }, the second for { HUNDREDTHS($second) }, or measure again
finding-placed-anew = { $holder ->
    [head] head holds the { $unit ->
        [metre] meter
       *[foot] foot
      }
    [rear] rear holds the { $unit ->
        [metre] meter
       *[foot] foot
      }
   *[unsaid] taken
  }{ $reading ->
    [-1] {""}
   *[other] : { HUNDREDTHS($reading) }
  }
    .short = ends turned
    .remedy = if that is wrong, measure again
finding-keyed-stands = { $part ->
    [whole] heard { WHOLE($second) } beside the typed { WHOLE($first) }; the typed one stands
    [fraction] heard { PART($second) } beside the typed { PART($first) }; the typed one stands
   *[length] heard { HUNDREDTHS($first) }, typed { HUNDREDTHS($second) }; what was typed stands, the other part as heard
  }
    .short = typed stands

## Why a pull stays as it was read.
finding-not-corrected = not corrected: { $why }
    .short = not corrected
    .remedy = { $remedy }
length-not-correctable = a length read of { $length } cannot be corrected
length-not-correctable-remedy = measure that pull again
not-a-temperature = { $degrees } degF is not a possible temperature
not-a-temperature-remedy = measure that pull again, with its temperature stated
tension-no-pull = a tension of { $tension } is not possible
tension-no-pull-remedy = measure that pull again, with its tension stated
tension-breaks-tape = { $unit ->
    [metre] a tension of { $tension } would break any tape of { $area } square millimeters
   *[foot] a tension of { $tension } would break any tape of { $area } square inches
  }
tension-breaks-tape-remedy = go over the tension, its unit, and the certificate
spans-not-possible = a tape cannot hang in { $spans } { $spans ->
    [1] span
   *[other] spans
  }
spans-not-possible-remedy = measure that pull again, with its support stated (0 is throughout)
cannot-hang = at a tension of { $tension }, { $length } of this tape cannot hang in { $spans } { $spans ->
    [1] span
   *[other] spans
  }; that takes more than { $least }
cannot-hang-remedy = measure that pull again, with its tension and support stated
rise-beyond-length = a rise of { $rise } is greater than the length of { $length }
rise-beyond-length-remedy = measure that pull again, with its rise stated

## What is wrong with a job.

fault-gap = gap in sequence: entry { $entry } expected, entry { $found } found
fault-changed = entry { $entry } was changed after it was written: its hash does not fit
fault-chain = hash chain broken: entry { $entry } does not follow from what stands before it
fault-version = entry { $entry } has version { $version }, which this program cannot read
fault-body = the body of entry { $entry } cannot be read
fault-end-missing = entries missing at the end, though written: { $first } to { $last }
fault-other-end = entry { $entry } is not the one that was written
fault-tables = the tables or the guards against rewriting were changed
fault-malformed = the database is malformed ({ $reason })
fault-malformed-near = the database is malformed near entry { $entry } ({ $reason })
fault-column = entry { $entry } was changed: its column { $column } has the wrong type
fault-unit = entry { $entry } begins a line in another unit than its tape { $tape }
fault-tape-again = entry { $entry } states a tape again, replacing nothing
fault-replaces = entry { $entry } replaces entry { $replaces }, which is not the certificate in force of tape { $tape }
fault-signs-other = entry { $entry } signs another state than the one before it
fault-does-not-follow = entry { $entry } ({ $kind }) does not follow from the calls
fault-missing-before = before entry { $entry } a { $kind } is missing
fault-kind = entry { $entry } is of a kind that this version of calllog does not know ({ $kind })
fault-clip-outside = the clip { $clip } of entry { $entry } lies outside the job
fault-clip-missing = the clip { $clip } of entry { $entry } is missing or unreadable ({ $reason })
fault-clip-changed = the clip { $clip } of entry { $entry } was changed
fault-other = { $reason }
fault-signature = entry { $entry } is signed by { $by } up to entry { $signed }, signature bad
fault-stamp = entry { $entry } holds a time stamp over something that is not an earlier entry
fault-header = not the journal of a job (or its first bytes are damaged)
fault-unreadable = the journal cannot be read ({ $reason })

## Words of the crew.

crew-role = { $role ->
    [head] head
    [rear] rear
    [crew] crew
    [unsaid] crew
   *[other] { $role }
  }
crew-condition = { $name ->
    [temperature] temperature
    [tension] tension
    [spans] spans
    [position] position
    [rise] rise
    [hold] hold
    [tape] tape
    [line] line
   *[other] { $name }
  }
crew-sign = { $sign ->
    [plus] plus
    [minus] minus
    [star] star
   *[slash] slash
  }
crew-unit = { $number ->
    [one] { $symbol ->
        [ft] foot
        [m] meter
        [lb] pound
        [n] newton
        [s] second
       *[deg] degree
      }
   *[more] { $symbol ->
        [ft] feet
        [m] meters
        [lb] pounds
        [n] newtons
        [s] seconds
       *[deg] degrees
      }
  }

## What follows a call: results.

told-booked = pull { $pull }, { $booking ->
    [first] first kept,{" "}
    [check] check kept,{" "}
    [unchecked] not checked,{" "}
   *[agreed] {""}
  }{ $length }{ $half ->
    [0] {""}
   *[1] {" "}and a half
  }
told-holds = { $holder ->
    [head] head
   *[rear] rear
  } holds the { $unit ->
    [metre] meter
   *[foot] foot
  }
told-stop = stop. pull { $pull }. { $finding }. { $remedy }
told-stop-first = stop, { $short }
told-tried-again = again
told-both = first { $take }, check { $check }
told-held = held. pull { $pull } waits
told-open-again = pull { $pull } is open again
told-scratched = struck { $old }
told-scratched-that = struck that
told-replaced = { $new }, not { $old }
told-condition = { $name } { $sign ->
    [minus] minus{" "}
   *[plus] {""}
  }{ $amount }
told-for-pull = pull { $pull }, { $said }
told-temperature = temperature { $degrees } { $unit ->
    [metre] degC
   *[foot] degF
  }
told-temperature-unknown = temperature not stated
told-tension = tension { $force } { $unit ->
    [metre] N
   *[foot] lb
  }
told-tension-unknown = tension not stated
told-support-unknown = support not stated
# What a slow voice makes ready beforehand, a comma after each.
told-often = stop, pull, struck, not checked, first kept

## Tapes, lines and remarks.

not-here = there is no { $what } number { $number } here
tape-reads = Tape { $tape } { $style ->
    [add] adds: { WHOLE($held) } held, { $read } read: { HUNDREDTHS($length) }. Say add tape once on its first pull, or add before a call.
    [cut] cuts: { WHOLE($held) } held, { $read } read: { HUNDREDTHS($length) }. Say cut tape once on its first pull, or cut before a call.
    [inset] has its zero in from the ring: one end reads all, { HUNDREDTHS($mark) } held, { HUNDREDTHS($reading) } read: { HUNDREDTHS($length) }.
   *[full] is read at one end: { HUNDREDTHS($mark) } held, { HUNDREDTHS($reading) } read: { HUNDREDTHS($length) }.
  }
# The same as it is said when work begins: short, since the screen has all of it.
tape-reads-aloud = { $style ->
    [add] { WHOLE($held) } held, { $read } read: { HUNDREDTHS($length) }. say add tape
    [cut] { WHOLE($held) } held, { $read } read: { HUNDREDTHS($length) }. say cut tape
    [inset] zero in from the ring: { HUNDREDTHS($mark) } held, { HUNDREDTHS($reading) } read: { HUNDREDTHS($length) }
   *[full] read at one end: { HUNDREDTHS($mark) } held, { HUNDREDTHS($reading) } read: { HUNDREDTHS($length) }
  }
tape-changed = tape number { $number }, { $name }
line-changed = line number { $number }, { $begins } to { $ends }
no-sound-for-remark = no sound is kept in this job, so a remark cannot be kept either
remark-not-kept = the remark was not kept

## Devices, as they are heard.

device-microphone-lost = microphone lost
device-microphone-back = microphone is back
device-too-loud = too loud
device-too-faint = too faint, come closer to the microphone
device-too-noisy = too much noise
device-disk-slow = the disk is slow, wait
device-disk-back = all calls are on disk
device-nothing-heard = stop. nothing more is heard
device-stop-unsaved = stop. { $calls ->
    [0] nothing can be saved
    [one] one call is not on disk
   *[other] { $count } calls are not on disk
  }
device-no-sound-kept = no sound is kept
device-keypad = { $link ->
    [lost] keypad lost
   *[returned] keypad returned
  }
device-trouble = { $trouble ->
    [clipping] is overdriven: the loudest parts of the call are cut off
    [loud] is too loud, or too near the mouth
    [faint] is too faint, or too far from the mouth
    [noisy] picks up a lot of noise beside the voice
    [silent] gives no sound at all
   *[offset] has a constant offset, so that loud calls are cut on one side
  }
device-phone-not-listening = not listening. listening
device-phone-idle = nobody has called. call, or type
device-phone-muted = not listening
device-phone-battery = battery low
device-phone-dead = { $role ->
    [head] microphone of the head lost
   *[rear] microphone of the rear lost
  }

## Devices, as the screen shows them.

device-trouble-next = { $trouble ->
    [clipping] turn its gain down, or wear it further from the mouth
    [loud] turn its gain down, or wear it a hand's breadth away
    [faint] turn its gain up, or wear it nearer
    [noisy] shield it from the wind, wear it nearer, or type the calls
    [silent] switch it on, unmute it, and check its cable
   *[offset] use another input or another microphone
  }
device-troubled = { $name }: { $trouble }; { $next }
device-microphone-lost-by-name = microphone { $name } lost: { $reason }; calllog keeps looking for it
device-microphone-back-by-name = microphone { $name } is back after { $seconds } s
device-sound-lost = some sound of { $name } was lost
device-keypad-by-name = { $link ->
    [lost] keypad { $name } lost
   *[returned] keypad { $name } returned
  }
device-disk-slow-by = the disk is slow: { $seconds } s for one write
device-disk-takes-nothing = nothing can be saved: { $reason }
device-disk-safe = all is on disk
device-unsaved = { $calls ->
    [0] nothing can be saved
    [one] 1 call is not on disk
   *[other] { $calls } calls are not on disk
  }
device-unsaved-next = stop the work; bring the disk back, or make room on it
device-unsaved-calls = These calls are not on disk:
clock-forward = the computer's clock went forward by { DURATION($seconds) }; times before and after cannot be compared
clock-back = the computer's clock went back by { DURATION($seconds) }; times before and after cannot be compared
clock-before-last-entry = the computer's clock is { DURATION($seconds) } before the job's last entry; is it set right?
device-phone-paired = phone { $name } is paired
device-phone-revoked = phone { $name } is revoked
device-page-lost = the chief's page stopped; it is starting again
device-page-unencrypted = the chief's page goes over this network unencrypted
device-page-code-guessed = somebody is trying to guess the code of the chief's page
device-gone-on-with = going on: { $status }; { $calls ->
    [one] 1 call is in the job
   *[other] { $calls } calls are in the job
  }
consent-question = Who agrees to their sound being kept? Names with commas between, head=NAME and rear=NAME where each wears a microphone; Enter for nobody:
consent-names-please = Write the names of those who agree.
consent-nobody = No sound is kept: nobody has agreed to it.
consent-taken-back = No sound is kept of the { $role ->
    [head] head's
    [rear] rear's
   *[unsaid] crew's
  } microphone: { $names } took consent back, or its day is over.
consent-not-given = No sound is kept of the { $role ->
    [head] head's
    [rear] rear's
   *[unsaid] crew's
  } microphone: who wears it has not agreed to it.
device-unagreed = no sound is kept of those who have not agreed to it
sound-removed = sound removed at a person's request
words-removed = words removed at a person's request
sound-overdue = sound kept beyond its day
sound-not-for-reader = sound that this reader may not hear
device-phone-let-in = phone { $name } is let in
device-phones-strange = phones paired before that must pair again: { $count }
device-sound-changed = a sound of this job was changed; the chief's page plays none
device-phone-battery-of = phone { $name }: battery at { $percent } %
device-phone-took-over = phone { $name } is the { $role ->
    [head] head's
   *[rear] rear's
  } from now on
device-phone-trust = crew's phones trust the certificate once at { $address }; compare its fingerprint: { $fingerprint }

## Keys: why what is typed is not taken.

key-no-entry = { $typed } is not an entry; type it again
key-none-of-keypad = that key is not on the keypad; is Num Lock on? type it again
key-nothing-typed = nothing is typed; minus strikes the last call
key-point-alone = a point alone is not a number
key-one-digit = { $digit ->
    [0] { $typed } has one digit for the hundredths; type both digits
   *[other] { $typed } may be { $whole }.0{ $digit } or { $whole }.{ $digit }0; type both digits
  }
key-three-digits = { $typed } is not three digits; type all three, such as .005 or .050
key-least-count = { $typed } cannot be read on this tape; { $unit ->
    [metre] it is read to the millimeter
   *[foot] it is read to 0.005 ft, so that a third digit is 0 or 5
  }
key-mark-or-part = { $typed } may be a mark, or what follows the point; type { $typed }. or .{ $typed }
key-many-digits = { $typed } has { $digits } digits after the point; type two
key-no-hundredths = { $unit ->
    [metre] { $typed } is not hundredths; type two digits, or { $whole }. for a meter
   *[foot] { $typed } is not hundredths; type two digits, or { $whole }. for a foot
  }
key-no-point = { $unit ->
    [metre] { $typed } has no point; type meters, point and both digits
   *[foot] { $typed } has no point; type feet, point and both digits
  }
key-beyond-tape = { $unit ->
    [metre] { $said } is beyond this { $tape } m tape; type meters, point and both digits
   *[foot] { $said } is beyond this { $tape } ft tape; type feet, point and both digits
  }
key-zero-first = { $unit ->
    [metre] { $typed } begins with a zero; type .{ $part } for hundredths, { $whole } for a meter
   *[foot] { $typed } begins with a zero; type .{ $part } for hundredths, { $whole } for a foot
  }
key-states-nothing = { $code }* states nothing; 1* temperature, 2* tension, 3* spans, 4* position, 5* rise, 6* hold, 7* tape, 8* line
key-number-needed = { $typed } needs a number: { $name } { $range }
key-whole-number = { $typed } has a point; { $name } is typed in whole numbers
key-both-digits = { $typed }: type both digits after the point
key-does-not-go = { $name } cannot be { $amount }; { $range }
key-range = { $least } to { $greatest }{ $symbol ->
    [degF] {" "}degF
    [degC] {" "}degC
    [lb] {" "}lb
    [N] {" "}N
    [ft] {" "}ft
    [m] {" "}m
   *[none] {""}
  }
key-means-nothing = { $typed } means nothing; 1/ keep the first, 2/ keep the check, 0/ and Enter measure again, 3/ next pull, 4/ { keys-head-holds }, 5/ { keys-rear-holds }, 9/ line finished, 7/ { keys-cut }, 8/ { keys-add }
key-no-note = { $unit ->
    [metre] { $typed } is not a note; type it like 1+234/18.4 for right, 1+234-18.4 for left
   *[foot] { $typed } is not a note; type it like 1+25/18.4 for right, 1+25-18.4 for left
  }

## Keys: what each does.

keys-part = { $unit ->
    [metre] the meter or the hundredths, whichever you are to call
   *[foot] the foot or the hundredths, whichever you are to call
  }
keys-whole = { $unit ->
    [metre] a whole meter, whatever is expected
   *[foot] a whole foot, whatever is expected
  }
keys-hundredths = hundredths, whatever is expected; always both digits: .05, .50
keys-half-hundredths = hundredths, whatever is expected, with a 5 after them for a half: .05, .425
keys-millimetres = millimeters, whatever is expected; always all three digits: .005, .050, .500
keys-reading = a full reading
keys-repeat = say again
keys-scratch-typed = strike the last call
keys-scratch = strike the last call; minus while something is typed: clear it
keys-clear = clear the last key
keys-switch = switch ends
keys-first = keep the first
keys-check = keep the check
keys-again = measure again
keys-next = next pull
keys-cut = this tape cuts
keys-add = this tape adds
keys-finish = line finished
keys-head-holds = head holds the { $unit ->
    [metre] meter
   *[foot] foot
  }
keys-rear-holds = rear holds the { $unit ->
    [metre] meter
   *[foot] foot
  }
keys-temperature = temperature; 1*-5 below zero
keys-tension = tension
keys-spans = support: 0 throughout, 1 ends only, or equal spans
keys-position = held at: 0 ground, 1 knee, 2 waist, 3 chest
keys-rise = rise between the ends; 5*0 for level
keys-hold = { $unit ->
    [metre] meter mark that the other end holds
   *[foot] foot mark that the other end holds
  }
keys-tape = another tape, by its number
keys-line = another line, by its number
keys-remark = a remark, kept as sound
keys-note-right = { $unit ->
    [metre] a note: at station 1+234, right 18.4 m
   *[foot] a note: at station 1+25, right 18.4 ft
  }
keys-note-left = { $unit ->
    [metre] a note: at station 1+234, left 18.4 m
   *[foot] a note: at station 1+25, left 18.4 ft
  }

## The screen; labels and the sign have at most eight letters.

screen-label-tape = tape
screen-label-pull = pull
screen-label-next = next
screen-label-or = or
screen-label-do = do
screen-label-earlier = earlier
screen-label-phones = phones
screen-label-typed = typed
screen-label-note = ! note
screen-sign = { $sign ->
    [AGREES] AGREES
    [BOOKED] KEPT
    [STOP] STOP
    [ASKED] ASKED
   *[waits] {""}
  }
screen-top = { $line }   PULL { $pull }
screen-total = { $unit ->
    [metre] { $pulls } recorded, { $length } m read
   *[foot] { $pulls } recorded, { $length } ft read
  }
screen-tape = { $unit ->
    [metre] { $tape }, { $length } m
   *[foot] { $tape }, { $length } ft
  }, { $style ->
    [inset] zero in
   *[other] { $style }
  }
screen-measured = first { $take }   check { $check }{ $again ->
    [0] {""}
   *[other] {"   "}struck { $struck }
  }
screen-verdict = { $verdict }{ $held ->
    [0] {""}
    [one] {" "}({ $held } call held)
   *[other] {" "}({ $held } calls held)
  }
screen-noise = noise { $level } dB
screen-typed = typed
screen-standing = { $standing ->
    [taken] taken
    [asked] asked again
    [held] held
    [struck] struck
   *[talk] talk
  }
screen-remark = remark
screen-remark-written = remark: { $text }
screen-begun = { $line }, pull { $pull }; next: { $expected }
screen-decision = a decision of the chief
screen-decision-by-command = a decision: { $at ->
    [work] end the work (Ctrl-C), then{" "}
   *[rest] {""}
  }calllog decide JOB { $pull } CHOICE (first, check or again)
screen-line-finished = the line is finished: begin the next one
screen-switch = both: switch ends
screen-switch-or-next = both: switch ends, or next pull
screen-call-reading = the reading of the { $measurement ->
    [take] first
   *[check] check
  }
screen-call-part = { $role ->
    [unsaid] {""}
   *[other] { $who }:{" "}
  }{ $part ->
    [whole] { $unit ->
        [metre] the whole meter
       *[foot] the whole foot
      }
   *[fraction] the hundredths
  } of the { $measurement ->
      [take] first
     *[check] check
    }
screen-call-parts = { $whole_by ->
    [unsaid] {""}
   *[other] { $whole_who }:{" "}
  }{ $unit ->
    [metre] the whole meter
   *[foot] the whole foot
  },{" "}{ $whole_by ->
    [unsaid] {""}
   *[other] { $fraction_who }:{" "}
  }the hundredths of the { $measurement ->
      [take] first
     *[check] check
    }
screen-read-and-held = { HUNDREDTHS($reading) } - { HUNDREDTHS($held) } held
screen-keeps = keeps { HUNDREDTHS($length) }
screen-strikes-condition = strikes the last condition
screen-strikes = strikes { $count ->
    [0] the last call
    [1] the last number
   *[other] { $count } numbers
  }{ $opened ->
    [0] {""}
   *[other] , opens pull { $opened } again
  }
screen-begins-check = begins the check
screen-measures-again = measures this pull again
screen-books = records the pull unchecked
screen-books-and-closes = records the pull unchecked, closes the line
screen-closes = closes the line
screen-question = { $role ->
    [head] head: { $question }
    [rear] rear: { $question }
   *[unsaid] crew: { $question }
  }
screen-booked = pull { $pull }: { $length } { $unit ->
    [metre] m
   *[foot] ft
  }{ $checked ->
    [yes] , difference { HUNDREDTHS($difference) }
   *[no] {""}
  }{ $booking ->
    [unchecked] , not checked
    [first] , first kept by { $by }
    [check] , check kept by { $by }
   *[agreed] {""}
  }

## Lines of a log.

log-rise-of-one-pull = the rise of { $rise } { $unit ->
    [metre] m
   *[foot] ft
  } counts for pull { $pull } alone; state it for each pull that has one
log-leaves-pull = { $name }: { $status }. Begin { $other } all the same? The pull stays unrecorded. y, or n:
log-left-pull = { $name }: { $status }; it stays unrecorded
log-conditions-stated = conditions: { $conditions }
log-decided = pull { $pull }: { $choice }, decided by { $by }
log-booked = { $unit ->
    [metre] pull { $pull } recorded: { $length } m ({ $booking })
   *[foot] pull { $pull } recorded: { $length } ft ({ $booking })
  }
log-finding = { $severity ->
    [stop] STOP
   *[note] note
  } pull { $pull }: { $finding }
log-struck = call { $call } struck
log-held = call { $call } held: pull { $pull } waits
log-opened-again = pull { $pull } opened again
log-end = { $pulls ->
    [one] 1 pull recorded
   *[other] { $pulls } pulls recorded
  }; { $status }.
log-decide-it = Decide it: { $command } CHOICE, which is first, check or again
log-misheard = that { $part ->
    [whole] { $unit ->
        [metre] the whole meter
       *[foot] the whole foot
      }
    [fraction] the hundredths
   *[reading] the reading
  } of the { $measurement ->
      [take] first
     *[check] check
    } was misheard
log-same = no blunder
log-recording-taken = { $recording }: { $taken ->
    [one] { $taken } utterance
   *[other] { $taken } utterances
  } taken in
log-goes-on = The same command goes on from here.
log-not-begun = Nothing was recorded; the same command begins the job.
log-tape-agrees = { $unit ->
    [metre] First and check on tape { $tape } agree within { HUNDREDTHS($apart) } m.
   *[foot] First and check on tape { $tape } agree within { HUNDREDTHS($apart) } ft.
  }
log-tape-doubtful = Look at the certificate of tape { $tape } again: { $entries }.
log-caution = Caution: never tape near overhead lines, electric fences or third rails; take shelter from lightning; mind the traffic with both ears open; record nobody without consent.
log-caution-again = Cautions as at the beginning of this job; calllog card has them all.
log-caution-and-no-voice = { $caution } There is no voice in this language: tones alone; name one with --voice.

## Conditions.

condition-temperature = temperature { $degrees } { $unit ->
    [metre] C
   *[foot] F
  }
condition-temperature-unknown = temperature ?
condition-tension = tension { $force } { $unit ->
    [metre] N
   *[foot] lb
  }
condition-tension-unknown = tension ?
condition-support = { $spans ->
    [0] supported throughout
    [1] ends only
   *[other] { $spans } equal spans
  }
condition-support-unknown = support ?
condition-rise = rise { $rise } { $unit ->
    [metre] m
   *[foot] ft
  }
condition-level = level
condition-rise-unknown = rise ?
condition-position = { $position ->
    [ground] on the ground
    [knee] at the knee
    [waist] at the waist
   *[chest] at the chest
  }
condition-hold = holding { $mark } { $unit ->
    [metre] m
   *[foot] ft
  }

## The field page.

page-the-day = The day
page-job = Job
page-day = Day
page-not-stated = not stated
page-all-lengths-in = All lengths in
page-lengths-in = { $unit ->
    [metre] meters
   *[foot] { $foot ->
        [us_survey] US survey feet
       *[international] international feet
      }
  }
page-pulls = Pulls
page-length-read = Length read
page-horizontal-length = Horizontal length
page-slope-distance = Slope distance
page-slope-mark = slope distance
page-lead = { $kind ->
    [slope] slope distance
   *[horizontal] horizontal length
  } (k = 2, 95 %)
page-length-told = Length (k = 2, 95 %)
page-standard-uncertainty = Standard uncertainty (k = 1)
page-expanded-uncertainty = Expanded uncertainty (k = 2, 95 %)
page-not-known = not known
page-tolerance-of-check = Tolerance of first and check
page-check-policy = { $policy ->
    [required] check required
    [wanted] check wanted
   *[none] check none
  }
page-where-they-agree = where they agree
page-book-policy = { $policy ->
    [mean] their mean is recorded
    [check] the check is recorded
   *[first] the first is recorded
  }
page-pages-of-this-job = Pages of this job
page-summary = Summary of the day
page-about-summary = Length with its expanded uncertainty (k = 2, about 95 %), to the last digit that is read
page-class = Class
page-verdict = { $met ->
    [yes] meets { $name }
    [no] does not meet { $name }
   *[unknown] not shown to meet { $name }
  }
page-judged-by = { $by ->
    [closure] by the measured closure
   *[uncertainty] by its uncertainty
  }
page-record = Record
page-measured-less-record = Measured − record
page-not-finished = not finished
page-in-print = in print
page-stops = Stops, and who decided
page-equipment = Equipment
page-distances-title = Distances of { $job }, { $days }
page-distances-about = each ± its expanded uncertainty (k = 2, about 95 %).
page-distances-not = What was measured, not where a boundary lies. Journal { $digits }.
page-standing = State of this job
page-standing-more = and { $count } more: see the pages of the lines
page-of-line = { $name }: { $what }
page-nothing-booked-yet = no pull is recorded yet
page-complete-book = complete: every line is finished, nothing was decided at a stop, every correction is known
page-complete = complete: every line is finished, nothing was decided at a stop, every correction is known; nobody has signed it off yet
page-complete-signed = complete: every line is finished, nothing was decided at a stop, every correction is known; signed off by { $name } on { $date } and unchanged since
page-running-head = { $job } · { $title } · { $days }
page-running-head-no-day = { $job } · { $title }
page-short-hash = journal { $digits }
page-lines = Lines
page-about-lines = { $unit ->
    [metre] Each run of a line. Lengths in meters; u is the standard uncertainty (k = 1).
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
page-nothing-booked = No pull has been recorded.
page-field-notes = Field notes
page-field-notes-of = Field notes of { $line }
page-about-field-notes = { $unit ->
    [metre] Lengths and corrections in meters; a correction is added to the length read. ? = not known, so not corrected for; * = sum without what is not known. A length whose rise is not known is a slope distance and says so; a total is horizontal only if all its pulls are. Struck values stay legible. Remarks on a pull stand below it.
   *[foot] Lengths and corrections in feet; a correction is added to the length read. ? = not known, so not corrected for; * = sum without what is not known. A length whose rise is not known is a slope distance and says so; a total is horizontal only if all its pulls are. Struck values stay legible. Remarks on a pull stand below it.
  }
page-pull = Pull
page-from-point = From
page-to-small = to
page-to = to { $ends }
page-tape-small = tape
page-take = First
page-check = Check
page-check-less-first = Check − first
page-take-small = first
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
    [agreed] first and check agree
    [first] first kept, decided by { $who }
    [check] check kept, decided by { $who }
   *[unchecked] not checked
  }
page-policy = policy
page-crew = crew
page-booked = recorded
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
    [one] correction for { $correction } not known: pull { $pulls }
   *[other] correction for { $correction } not known: pulls { $pulls }
  }
page-correction = { $correction ->
    [standardisation] standardization
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
page-pull-begun = Pull { $pull } of { $line } was begun and not recorded.
page-what-was-called = What was called:
page-forward-against-back = Forward against back
page-about-runs = { $unit ->
    [metre] Horizontal lengths in meters, or slope distances where they say so; difference: the second run less the first. 1:N is rounded down.
   *[foot] Horizontal lengths in feet, or slope distances where they say so; difference: the second run less the first. 1:N is rounded down.
  }
page-runs-of-one-line = Runs of one line
page-first = First run
page-second = Second run
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
page-one-in-or-better = { $ratio } or better: { $unit ->
    [metre] nothing under { $least } m is read
   *[foot] nothing under { $least } ft is read
  }
page-no-line-measured-again = No line was measured a second time, so there is no forward against back.
page-line-not-measured-again = This line was not measured a second time, so there is no forward against back.
page-notes = Station and offset notes
page-about-notes = { $unit ->
    [metre] Offsets square off the line, meters, looking the way it is taped.
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
page-no-notes = No station and offset notes.
page-not-there = Not in this job
page-remarks-on-line = Remarks on { $line }, on a pull that was not recorded
page-who-decided-what = Who decided what, and when
page-about-decisions = From the journal, in the order in which it was recorded. First and check that agree within the tolerance are recorded by the line’s policy and not listed.
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
page-deed-reopened = the pull was opened again after it was recorded
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
page-all-by-policy = Nobody had to decide anything: all was recorded by the line’s policy.
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
page-uncertainty = Uncertainty, and what it is made of
page-uncertainty-of-line = Standard uncertainty of the length (k = 1)
page-uncertainty-of-part = Standard uncertainty of the pulls that can be corrected (k = 1)
page-and-expanded = with k = 2 (95 %)
page-uncertainty-from = { $unit ->
    [metre] { $random } m from what differs from pull to pull, { $common } m from what is common to all pulls.
   *[foot] { $random } ft from what differs from pull to pull, { $common } ft from what is common to all pulls.
  }
page-about-budget = Standard uncertainties (k = 1), greatest share first. Random inputs add in squares along the line, common ones in full, each by its sign.
page-budget = Budget of the uncertainty
page-budget-rest = { $count ->
    [one] { $count } more
   *[other] { $count } more, together
  }
page-budget-rest-source = each less than any above; added in squares
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
page-crew-as-read = Their checks agree better than that, but no less is claimed than the last digit of a reading can show.
page-crew-left-out = { $count ->
    [one] Left out: { $count } checked pull that needed a decision.
   *[other] Left out: { $count } checked pulls that needed a decision.
  }
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
page-caution-safety = Steel tapes conduct: never tape near overhead lines, electric fences or third rails; take shelter from lightning. Mind the traffic, keep both ears open. Record nobody without consent; the sound of calls may come with this page.
page-software = Software
page-calls-taken-by = Calls taken by
page-keys = keys
page-written = Written
page-last-hash = Hash of the journal’s last entry
page-about-journal = Computed from the journal alone; the command “calllog verify” checks that it follows from it. Times are those of the crew’s computer, with their offset from UTC, or UTC where its zone is not known; those of a recording say when it was taken in.
page-client = Client
page-project = Project
page-crew-names = Crew
page-weather = Weather
page-instruments = Instruments
page-identity = Identity of the job
page-held-take = first: head { $head }, rear { $rear }
page-held-check = check: head { $head }, rear { $rear }
page-from-here = From here
page-crew-role = { $role }
page-instrument-kind = { $kind }
page-deed-facts = facts of the job were stated{ $anew ->
    [0] {""}
   *[other] {" "}anew
  }
page-signed-with-key = with key { $fingerprint }, signature good
page-signed-without-key = without a signature
page-paper = To sign on paper
page-paper-last-entry = Last entry of the journal: { $entry }. Its hash:
page-paper-signed = Signed:
page-paper-date = Date:
page-paper-about = Kept apart from the job, this paper shows later whether anything up to this entry was changed: calllog verify JOB --last-hash { $digits } (give 32 digits or more where forgery is feared).
page-sound-changed = sound changed

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
    [inset] zero in from the ring
   *[full] full
  }
page-nominal-length = Nominal length
page-held-mark = Held mark
page-least-count = Least count
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
page-assumed = { $value }, assumed: not stated
page-modulus = Modulus of elasticity
page-expansion = Expansion
page-per-degree = { $unit ->
    [metre] { $alpha } per °C
   *[foot] { $alpha } per °F
  }

## What makes the uncertainty; sources are cited as they are.

source-common-practice = common practice, no published source
source-least-count = { $unit ->
    [metre] half of the least count, { $least } m (GUM F.2.2.1)
   *[foot] half of the least count, { $least } ft (GUM F.2.2.1)
  }
input-kind = { $kind ->
    [random] random
    [common] common
   *[one-way] one-sided, always the same way
  }
input-shape = { $shape ->
    [normal] normal
    [rectangular] rectangular
   *[triangular] triangular
  }
input-reading = reading
input-marking = marking
input-certified-length = certified length, tape { $of }
input-stiffness = stiffness AE, tape { $of }
input-weight = { $unit ->
    [metre] weight per meter, tape { $of }
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
input-plumbing-not-stated = plumbing both ends, height not stated: as at the chest
input-sag-unknown = sag not known
input-slope-unknown = slope not known
input-level = level
input-rise = rise
input-angle = angle of the slope
input-off-line = off line
input-off-line-measured = distance off line, measured
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
    [metre] rises measured to a meter in a thousand in place of leveling by eye
   *[foot] rises measured to a foot in a thousand in place of leveling by eye
  }
improve-lining-in = lining in by instrument in place of by eye
improve-tape-weighed = the tape weighed and its cross section measured in place of usual figures
improve-temperature-stated = the temperature stated for every pull
improve-tension-stated = tension and support stated for every pull
improve-rise-stated = the rise, or level, stated for every pull

## Plots.

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
    [metre] check minus first, m
   *[foot] check minus first, ft
  }
plot-number-of-pull = number of the pull
plot-corrections = Corrections of each pull, stacked
plot-corrections-none = No pull was recorded.
plot-corrections-words = { $unit ->
    [metre] Sums of the corrections: { $range } m a pull.
   *[foot] Sums of the corrections: { $range } ft a pull.
  } A correction is not known in { $lacking } of { $pulls } { $pulls ->
    [one] pull
   *[other] pulls
  }.
plot-range = { $least } to { $most }
plot-sum = sum
plot-unknown = not known
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
plot-certainty = How sure the recognizer was of each call, and what was asked
plot-certainty-none = No call was heard; all were typed.
plot-certainty-words = { $calls ->
    [one] { $calls } call was heard
   *[other] { $calls } calls were heard
  }, { $asked } led to a question.
plot-taken = taken
plot-certainty-least = Least certainty of a call taken: { $least } %.
plot-asked = asked about
plot-asked-below = a lone call below { $percent } % is asked again
plot-number-of-call = number of the call
plot-certainty-percent = certainty, %

## The printed card.

card-title = Voice protocol for taping crews
card-pull = A pull
card-loop = Closed loop
card-numbers = Numbers
card-commands = Commands
card-conditions = Conditions: rise and held mark for one pull, the others from then on
card-tones = Tones
card-keypad = Keypad, at any moment ({ $enter } is Enter)
card-footer = Crew talk is not taken: { $talk } and the like. calllog { $version }, grammar { $grammar }.
card-does-switch = change ends; the check follows
card-does-scratch = strikes the last number or condition
card-does-again = the pull from its start; the journal keeps both
card-does-first = at a stop: the first stands
card-does-check = at a stop: the check stands
card-does-next = goes on without a check, where none is needed
card-does-cut = this tape cuts; also before a call
card-does-add = this tape adds; also before a call
card-does-finish = closes the line
card-does-remark = what is said next is kept as sound
card-does-repeat = says again what was read back last
card-does-who = says who calls what now
card-does-caller-holds = { $unit ->
    [metre] said by the one who holds the meter, before a pull or when asked
   *[foot] said by the one who holds the foot, before a pull or when asked
  }
card-states-temperature = { $unit ->
    [metre] of the tape, degrees Celsius
   *[foot] of the tape, degrees Fahrenheit
  }
card-states-tension = { $unit ->
    [metre] newtons
   *[foot] pounds
  }
card-states-spans = how the tape is supported
card-states-position = where the tape is held
card-states-rise = { $unit ->
    [metre] height between the two ends, meters
   *[foot] height between the two ends, feet
  }
card-states-hold = { $unit ->
    [metre] meter mark at the other end
   *[foot] foot mark at the other end
  }
card-states-tape = another tape
card-states-line = another line
card-slot-number = number
card-slot-whole = { $unit ->
    [metre] meter
   *[foot] foot
  }
card-slot-reading = { $unit ->
    [metre] meters point hundredths
   *[foot] feet point hundredths
  }
card-tone-heard = one short beep
card-tone-heard-means = heard: it is in the journal
card-tone-agrees = two quick, rising
card-tone-agrees-means = first and check agree: recorded
card-tone-question = two, the second long
card-tone-question-means = a question: say it again
card-tone-stop = three long, low
card-tone-stop-means = STOP: first and check differ
card-tone-tick = a click
card-tone-tick-means = a key was taken
card-tone-error = one very long, low
card-tone-error-means = the key means nothing here, or a sound that may be a call was not made out
card-tone-cleared = two, falling
card-tone-cleared-means = what was typed is cleared
card-tone-warn = four quick, very high
card-tone-warn-means = look at the screen: device or noise
card-pull-take = { $unit ->
    [metre] <b>First.</b> One end calls the whole meter, the other the hundredths; or one calls it all.
   *[foot] <b>First.</b> One end calls the whole foot, the other the hundredths; or one calls it all.
  }
card-pull-check = { $switch }, change ends, and both call again: this is the <b>check</b>.
card-pull-booked = Within the tolerance it is recorded. <b>Change back or walk on.</b> Asked who holds the { $unit ->
    [metre] meter
   *[foot] foot
  }: who has it says so, or call it all.
card-pull-cut = A tape that <b>cuts</b>: call the mark held and the hundredths apart, never subtract.
card-loop-call = <b>Call</b>, each at your own pace; a tone for each part, then both are read back.
card-loop-right = <b>Right?</b> Say nothing: <b>silence is consent.</b>
card-loop-wrong = <b>Wrong?</b> Say { $scratch }, and call again.
card-loop-asked = <b>Asked?</b> Say it again, both digits, one by one.
card-loop-stop = <b>STOP?</b> Nobody moves on. Read the marks again: it counts as { $again }; or the chief decides.
card-caution-power = <b>Power:</b> never tape near overhead lines, electric fences or third rails. <b>Lightning:</b> stop, take shelter.
card-caution-traffic = <b>Traffic:</b> follow the local traffic control. <b>Both ears open</b>, whatever you wear.
card-caution-tension = <b>Tape under tension</b> whips. Gloves, eye protection, face aside. Plumb bobs have points.
card-caution-recording = <b>Recording:</b> sound of calls is kept. Crew and bystanders must consent, as the law asks.
card-caution-rules = <b>Local safety rules and licensed practice come first.</b>
card-number-whole = { $unit ->
    [metre] whole meter, 15
   *[foot] whole foot, 15
  }
card-number-hundredths = hundredths, .42
card-number-below-ten = below ten, .05
card-number-below-ten-forms = { $forms }; never one digit
card-number-reading = all in one, 15.42
card-number-named = with the unit
card-number-full-tape = the whole tape
card-number-one-microphone = one microphone
card-number-one-microphone-forms = { $head } or { $rear } first
card-number-note = { $unit ->
    [metre] a note, 1+234
   *[foot] a note, 1+25
  }

## Voices that the program learns.

voices-none = No voice is kept in { $folder }. Enroll: calllog enroll NAME
voices-line = { $name }: learned from { $calls } calls, last on { $made }
voices-file = kept in { $file }, { $bytes } bytes of text, no sound
voices-holds = holds { $parts } components that help the network hear it, a pitch of { $pitch } Hz and a mean spectrum; its own calls became likelier by { $gained } nat
voices-misheard = before, "{ $said }" was heard as "{ $heard }": { $times } times
voices-hash = a job remembers it as { $hash }
voices-removed = The voice of { $name } is removed: { $file }
voices-used = The { $role } is heard as { $name }, as long as it sounds like { $name }.
voices-not-here = There is no voice of { $names } here: heard as anybody. To enroll: calllog enroll NAME
enroll-kept = What is kept of the voice is a file of numbers, some 25 kB: { $file }. No sound is kept. `calllog voices` shows it and removes it.
enroll-begin = You are the head. 18 numbers are shown, then two pulls; say each once, as on the line. Enter to begin, n for no:
enroll-not-begun = Nothing was begun, nothing is kept.
enroll-say = { $place }  say: { $said }
enroll-we-say = the rear says: { $said }
enroll-once-more = That did not sound like it; say it once more.
enroll-rehearsal = Now two pulls. I am the rear; what I answer is what I answer on the line.
enroll-rehearsal-ends = The rehearsal ends here.
enroll-passed-over = ! { $call }: not learned from; it should be "{ $said }", but was heard as "{ $heard }"
enroll-done = The voice of { $name } is learned from { $calls } calls, in { $seconds } s: { $bytes } bytes in { $file }
enroll-use = Use it: calllog listen ... --head "{ $name }", or --rear; calllog hear --speaker "{ $name }"
enroll-offer = The { $role }'s voice can be learned from { $calls } calls of pulls that agreed: { $command }
voices-set-aside = ! Nobody sounds like { $name }: heard as anybody. Name who it is with --head or --rear.

## What must be known of a job before any figure, above every page, table and sheet.
state-rescued = rescued from { $job }: { $entries ->
    [one] { $entries } journal entry was carried over
   *[other] { $entries } journal entries were carried over
  }, { $lost ->
    [0] no later one is known to be lost
    [one] { $lost } later one is known to be lost
   *[other] { $lost } later ones are known to be lost
  }, { $sounds ->
    [0] no sound is lost
    [one] { $sounds } sound is lost
   *[other] { $sounds } sounds are lost
  } (on { $time })
state-changed-since-signing = changed by { $entries ->
    [one] { $entries } journal entry
   *[other] { $entries } journal entries
  } since { $name } signed it off on { $date }
state-listed = { $first }, { $then }
state-sound-changed = { $sounds ->
    [one] { $sounds } sound is not the one that was recorded
   *[other] { $sounds } sounds are not those that were recorded
  }
state-sound-lost = { $sounds ->
    [one] { $sounds } sound of a call is missing or cannot be read
   *[other] { $sounds } sounds of calls are missing or cannot be read
  }
state-unfinished = { $name }: the crew did not finish this line
state-unfinished-rescued = { $name }: no entry finishes this line; one that was lost may have
state-waits = { $name }: pull { $pull } waits for a decision
state-left = { $name }: begun and not recorded: { $count ->
    [one] pull { $pulls }
   *[other] pulls { $pulls }
  }
state-certificate = { $name }: the certificate of tape { $tape } must be looked at again ({ $entries }): { $count ->
    [one] pull { $pulls }
   *[other] pulls { $pulls }
  }
state-decided = { $name }: after a stop { $by } decided { $count ->
    [one] pull { $pulls }
   *[other] pulls { $pulls }
  }
state-not-corrected = { $name }: { $count ->
    [one] not corrected, stands as it was read: pull { $pulls }
   *[other] not corrected, stand as they were read: pulls { $pulls }
  }
state-corrections-unknown = { $name }: correction for { $correction } not known: { $count ->
    [one] pull { $pulls }
   *[other] pulls { $pulls }
  }

## The chief's phone: its page.

chief-title = the chief's page
chief-unreached = ✕ STALE: not connected yet
chief-no-line = No line yet
chief-pull = pull
chief-stop-sending = Do not send it
chief-decide = ▲ STOP: decide
chief-measured = The pull
chief-first = First
chief-check = Check
chief-next = Next
chief-read = read
chief-recorded = { $pulls ->
    [one] recorded
   *[other] recorded
  }
chief-orders = Orders
chief-strike = Strike
chief-again = Measure again
chief-correct = Correct a value
chief-state-condition = State a condition
chief-add-remark = Add a remark
chief-calls = Calls
chief-in-force = In force
chief-past = Recorded
chief-earlier = Earlier pulls
chief-paired-as = Paired as
chief-leave = Unpair this phone
chief-look-up = Look up: stay clear of overhead lines and traffic while you read this. Nothing here decides by itself.
chief-counts-for = It counts for the
chief-heard-stays = What was heard stays, struck.
chief-counting = { $measurement ->
    [take] first
   *[check] check
  }
chief-what-it-is = What it is
chief-typed = Typed
chief-back = Back
chief-send = Send
chief-condition = Condition
chief-amount = Amount
chief-below-zero = Above or below zero
chief-on-this-pull = On this pull
chief-waiting = ✕ WAITING: { $why }
chief-stale = ✕ STALE: nothing heard from the logger
chief-stale-for = for { $seconds } s
chief-live = ● LIVE
chief-stop = ▲ STOP
chief-struck = Struck: { $lengths }
chief-decide-pull = ▲ STOP: decide pull { $pull }
chief-held = { $calls ->
    [one] { $calls } call is held.
   *[other] { $calls } calls are held.
  }
chief-last-order = Last order: { $order }.
chief-changed-at = Last change at { $time }.
chief-play = Play call { $call }: { $said }
chief-no-playing = The sound cannot be played.
chief-card-pull = Pull { $pull }
chief-card-values = First { $first }, check { $check }.
chief-no-check = none
chief-card-struck = Measured again, struck:
chief-sending = Sending: { $order }
chief-sent-no-more = { $order }: sent no more. It may have counted: look at the pull.
chief-value = Value { $value }
chief-remark = Remark
chief-clear-key = Clear the last key
chief-point = Point
chief-line = { $from } to { $to }
chief-keep = { $which ->
    [first] Keep first
    [check] Keep check
   *[later] Keep later
  }
chief-part = { $part ->
    [whole] { $unit ->
        [metre] Meter
       *[foot] Foot
      }
    [hundredths] Hundredths
    [centimetres] Centimeters
    [millimetres] Millimeters
   *[reading] Reading
  }
chief-booking = { $booking ->
    [agreed] first and check agree
    [first] first kept
    [check] check kept
   *[unchecked] not checked
  }{ $by ->
    [none] {""}
   *[other] {" "}by { $by }
  }{ $checked ->
    [yes] , difference { HUNDREDTHS($difference) }
   *[no] {""}
  }

## The chief's phone: what becomes of an order.

order-taken = taken
order-unsaved = taken, but not on disk yet
order-disk-fails = not taken: nothing can be saved; give it again when the stop is gone
order-outside = not taken: this phone is not paired any more
order-not-taken = not taken: { $why }
order-nothing-to-decide = { $status }; there is nothing to decide
order-plain-words = write the remark in plain words
order-no-value = that is no value
order-no-entry = that is no entry
order-held = { $status }: keep first, keep check or measure again
order-choice = { $choice ->
    [first] the first was kept
    [check] the check was kept
   *[again] it is measured again
  }
order-conditions-changed = the conditions have changed meanwhile
order-decided-meanwhile = pull { $pull } was decided meanwhile, { order-choice } by { $by }
order-gone-on = the work has gone on meanwhile; { $status }
order-last-decision = Pull { $pull }: { order-choice } by { $by }
order-last = { $order } by { $by }
order-remark = a remark

## Phones: the page where they are paired, and why they may not in.

door-title = Pair this phone
door-code-where = The code stands on the logger's screen. It lets one phone in; then the logger shows another.
door-code = Code
door-name = Your name, as it is to stand in the journal
door-whose = This phone is
door-chief = the chief's page
door-head = the head's
door-rear = the rear's
door-pair = Pair
door-not-paired = Not paired: { $why }.
door-unreached = Not paired: the logger cannot be reached.
door-wrong = that is not the code on the logger's screen
door-wait = too many wrong codes; wait a minute
door-spent = too many wrong codes; the logger shows a new one, good in a minute
door-taken = that name is a paired phone's, or looks like it; take another name, or revoke it on the logger
door-nameless = give a name of up to 20 letters and figures, of one alphabet, a letter first
door-reserved = that name is kept for the logger and the crew; take another name
door-incomplete = give the code and a name
door-not-wanted = no phone is wanted for that
door-no-answer = the logger does not answer; try again by the code that it shows
phone-no-script = This page needs JavaScript.
phone-not-paired = this phone is not paired
phone-waits = the logger was started again, and has not let this phone in yet: key y on its keyboard
phone-no-chief = this phone is a crew member's: the chief's page is for the chief's own
phone-no-page = there is no such page
phone-too-long = that is too long
phone-many-pages = too many pages are open
phone-no-sound = no sound is kept of this call
phone-no-order = that is no order
phone-many-orders = wait for the answers to what was sent before
phone-no-answer = the logger does not answer
phone-other-address = this is not the address of the page
phone-other-page = that comes from another page
phone-no-json = that is no JSON

## Phones on the logger's screen.

phones-code = code { $code }
phones-paired = paired: { $phones }
phones-none = none yet
phones-invite = ({ $key }: QR)
phones-rivals = { $phones } - { $key } lets them take over
phones-waiting = paired before: { $phones } - { $key } lets them in
phones-no-phone = { $role }: no phone
phones-muted = { $role }: { $name }, muted
phones-heard = { $role }: { $name }, { $heard ->
    [yes] heard
   *[no] not heard
  }
phones-back = { $key }: back
phones-let-in = { $key }: let in { $phones }
phones-revoke = { $key }: revoke { $phone }

## The crew's phones: what their page shows.

crew-phone-title = Your microphone, ear and keys
crew-phone-consent-title = Before the first sound
crew-phone-head = head
crew-phone-rear = rear
crew-phone-heard-by = The logger listens to this phone's microphone over the crew's own network, and writes down the numbers that you call. Nothing leaves that network.
crew-phone-kept = If you agree, a short clip of each of your calls is kept in the job, and nothing else that you say.
crew-phone-none-kept = No sound is kept in this job.
crew-phone-until = They are kept until
crew-phone-no-end = They are kept until you take your consent back: ask the one at the logger.
crew-phone-listeners = Who may listen to them:
crew-phone-listener = { $who ->
    [crew] the crew
    [chief] the chief
    [office] the office
   *[other] { $who }
  }
crew-phone-traffic = Wear the phone's sound in one ear only. The other one stays open to traffic.
crew-phone-agree = I agree: listen
crew-phone-agree-none = Listen, and keep nothing
crew-phone-leave = Unpair this phone
crew-phone-listening = Listening
crew-phone-connecting = Connecting
crew-phone-cut-off = NOT LISTENING: the logger cannot be reached
crew-phone-waiting = NOT LISTENING: another phone has this place; the one at the logger must press t
crew-phone-replaced = NOT LISTENING: the page is open in another window of this phone
crew-phone-muted = NOT LISTENING: nobody called for ten minutes
crew-phone-dead = NOT LISTENING: the microphone gives no sound
crew-phone-asleep = NOT LISTENING: the phone has stopped the sound; touch the screen
crew-phone-refused = The browser does not give the microphone to this page: allow it in its settings
crew-phone-no-microphone = The microphone cannot be opened
crew-phone-here = I am here: listen again
crew-phone-again = Say again
crew-phone-strike = Strike −
crew-phone-switch = Switch +
crew-phone-enter = Enter
crew-phone-clear = Clear
crew-phone-point = point
crew-phone-volume = Volume
crew-phone-ear = Ear
crew-phone-left = left
crew-phone-right = right
crew-phone-screen = Leave this page in front. Where the browser allows it the screen stays on by itself; darken it, do not lock it.
crew-phone-paired-as = Paired as
crew-phone-keys = Keys
crew-phone-typed = Typed
crew-phone-not-sent = not sent
crew-phone-insecure = This page is not trusted, so the browser gives it no microphone: trust the logger's certificate first
crew-phone-next = Next
crew-phone-sound = Sound and pairing
crew-trust-title = Trust the logger
crew-trust-why = A browser gives the microphone only to a page that it trusts. The logger has made a certificate of its own; a phone takes it once. It holds for private addresses only, such as the crew's own network.
crew-trust-picture = A phone loads the certificate, installs it, compares its fingerprint with the logger's screen, and opens the locked page
crew-trust-download = Load the certificate
crew-trust-install-android = Android: Settings, Security, Encryption and credentials, Install a certificate, CA certificate; choose the file that was loaded.
crew-trust-install-apple = iPhone: Settings, Profile downloaded, Install; then General, About, Certificate Trust Settings: switch it on.
crew-trust-compare = Before you confirm, compare the SHA-256 fingerprint that the phone shows with the logger's screen. If they differ, stop: somebody else sent it. It is:
crew-trust-open = Open the page
crew-trust-once = This is done once on each phone. To take it back, remove the certificate in the same settings.
