### Lo que calllog dice y escribe, en español: un mensaje para cada código.
###
### Los datos llegan como variables. Las lecturas son centésimas enteras y las escriben HUNDREDTHS
### (15.42), WHOLE (15), PART (.42) y STATION (3+12.40); DURATION escribe segundos (2 h 1 min).
### $unit es foot o metre: en qué está graduada la cinta. El remedio de un aviso es su atributo.

## Lo que se pide a la cuadrilla, y por qué no se toma lo dicho.

say-again = { $role ->
    [head] delantero,{" "}
    [rear] trasero,{" "}
   *[unsaid] {""}
  }repita { $part ->
    [whole] { $unit ->
        [metre] el metro entero
       *[foot] el pie entero
      }
    [fraction] las centésimas
   *[reading] la lectura
  }{ $measurement ->
    [take] {" "}de la primera
   *[check] {""}
  }
say-again-or-type = { $role ->
    [head] delantero,{" "}
    [rear] trasero,{" "}
   *[unsaid] {""}
  }repita o teclee { $part ->
    [whole] { $unit ->
        [metre] el metro entero
       *[foot] el pie entero
      }
    [fraction] las centésimas
   *[reading] la lectura
  }{ $measurement ->
    [take] {" "}de la primera
   *[check] {""}
  }
states-no-condition = eso no indica ninguna condición
less-than-nothing = { WHOLE($whole) } menos { $fraction } centésimas es menos que nada
both-parts-again = { $why }; repitan las dos partes
rise-in-force-beyond-tape = { $unit ->
    [metre] el desnivel de { $rise } m es mayor que la longitud de la cinta; digan el desnivel y repitan las dos partes
   *[foot] el desnivel de { $rise } ft es mayor que la longitud de la cinta; digan el desnivel y repitan las dos partes
  }
rise-beyond-tape = { $unit ->
    [metre] un desnivel de { $rise } m es mayor que la longitud de la cinta
   *[foot] un desnivel de { $rise } ft es mayor que la longitud de la cinta
  }
one-digit = { $said } puede ser .0{ $digit } o .{ $digit }0; diga las dos cifras
again-or-hundredths = ¿otra vez { $value }, o { $value } centésimas? diga punto antes de las centésimas
say-read-and-held = en esta cinta se sujeta una marca: diga lo que se lee y lo que se sujeta
tape-cuts = { $unit ->
    [metre] esta cinta resta: diga por separado la marca del metro y las centésimas
   *[foot] esta cinta resta: diga por separado la marca del pie y las centésimas
  }
numbered-from-one = cada { $what ->
    [tape] cinta
   *[line] línea
  } tiene un número desde el 1
finish-pull-first = termine el tramo { $pull } antes de cambiar de { $what ->
    [tape] cinta
   *[line] línea
  }
said-while-waiting = se dijo { $what ->
    [tape] cinta
   *[line] línea
  } número { $number } mientras un tramo esperaba; repítalo{ $later ->
    [0] {""}
   *[other] , y luego lo que se dijo después
  }
nothing-to-decide = no hay nada que decidir
line-finished = la línea está terminada
line-finished-no-call = la línea está terminada; no se espera ninguna lectura
no-call-to-scratch = no hay nada que tachar
check-needed = esta línea pide comprobación: primero cambien de extremo
before-switching = antes de cambiar: { $status }
before-moving-on = antes de seguir: { $status }
no-decision-awaited = el tramo { $pull } no espera ninguna decisión; { $status }
beyond-tape = { $unit ->
    [metre] { HUNDREDTHS($reading) } queda fuera de esta cinta de { $tape } m
   *[foot] { HUNDREDTHS($reading) } queda fuera de esta cinta de { $tape } ft
  }
words-beyond-tape = { $unit ->
    [metre] { $said } queda fuera de esta cinta de { $tape } m
   *[foot] { $said } queda fuera de esta cinta de { $tape } ft
  }
station-beyond-line = la estación { STATION($station) } está más allá de esta línea, medida hasta { STATION($taped) }
no-call-made-out = no se entendió ninguna lectura
not-sure-of = no se oyó bien { $said }; repítalo
crew-talk = conversación
remark-kept = un comentario, guardado como sonido
nothing-said = no se dijo nada
not-a-call-word = "{ $word }" no es palabra de una lectura
word-does-not-belong = "{ $word }" no va ahí
call-breaks-off = la lectura se corta
after-comes-number = después de { $before } va un número
after-comes-reading = { $unit ->
    [metre] después de { $before } van los metros, "punto" y dos cifras
   *[foot] después de { $before } van los pies, "punto" y dos cifras
  }
is-hundredths = { $unit ->
    [metre] { $said } son centésimas; aquí se dice el metro entero
   *[foot] { $said } son centésimas; aquí se dice el pie entero
  }
is-whole = { $unit ->
    [metre] { $said } es un metro entero; aquí se dicen las centésimas
   *[foot] { $said } es un pie entero; aquí se dicen las centésimas
  }
is-part = { $unit ->
    [metre] { $said } es solo una parte; se dicen metros y centésimas
   *[foot] { $said } es solo una parte; se dicen pies y centésimas
  }
may-be = { $count ->
    [1] { $said } puede ser { $may_be_1 }; diga punto y las dos cifras
    [2] { $said } puede ser { $may_be_1 } o { $may_be_2 }; diga punto y las dos cifras
    [3] { $said } puede ser { $may_be_1 }, { $may_be_2 } o { $may_be_3 }; diga punto y las dos cifras
   *[other] { $said } puede ser { $may_be_1 }, { $may_be_2 }, { $may_be_3 } o { $may_be_4 }; diga punto y las dos cifras
  }
station-form = una estación son centenas, "más" y dos cifras
station-hundreds = antes de "más" va un número de 0 a 99
station-side = después de la estación va izquierda o derecha
station-plus = después de "más" van dos cifras
station-one-digit = más { $said } puede ser 0{ $digit } o { $digit }0; diga las dos cifras
offset-form = después de { $side ->
    [left] izquierda
   *[right] derecha
  } van los { $unit ->
    [metre] metros, o metros, punto y décimas
   *[foot] pies, o pies, punto y décimas
  }
offset-beyond = { $unit ->
    [metre] una distancia al costado llega hasta { $most } m
   *[foot] una distancia al costado llega hasta { $most } ft
  }
sound-was-lost = se perdió sonido, repítalo
said-under-voice = se dijo mientras sonaba esta voz, repítalo
as-written = { $text }
as-told = { $words }

## En qué está el trabajo.

pull-waits = el tramo { $pull } espera { $part ->
    [whole] { $unit ->
        [metre] el metro entero de { $measurement ->
            [take] la primera
           *[check] la segunda
          }
       *[foot] el pie entero de { $measurement ->
            [take] la primera
           *[check] la segunda
          }
      }
    [fraction] las centésimas de { $measurement ->
        [take] la primera
       *[check] la segunda
      }
   *[all] { $measurement ->
        [take] la primera
       *[check] la segunda
      }
  }
pull-waits-for-switch = el tramo { $pull } espera el cambio de extremos
pull-waits-for-decision = el tramo { $pull } espera una decisión{ $held ->
    [0] {""}
    [one] , { $held } lectura en espera
   *[other] , { $held } lecturas en espera
  }
pull-waits-for-answer = el tramo { $pull } espera: { $question }

## Avisos: lo que pudo pasar cuando la primera y la segunda no cuadran, y lo demás que hay que saber.

finding-one-foot = { $unit ->
    [metre] primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo un metro de diferencia: se sumó un metro donde la cinta resta, o se olvidó el metro sujeto
   *[foot] primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo un pie de diferencia: se sumó un pie donde la cinta resta, o se olvidó el pie sujeto
  }
    .remedy = { $unit ->
        [metre] miren qué marca de metro se sujeta y midan de nuevo
       *[foot] miren qué marca de pie se sujeta y midan de nuevo
      }
finding-ten-feet = { $unit ->
    [metre] primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo diez metros de diferencia: se leyó mal una marca de diez metros
   *[foot] primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo diez pies de diferencia: se leyó mal una marca de diez pies
  }
    .remedy = lean las decenas en la marca y midan de nuevo
finding-tape-length = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo una cinta de diferencia: un tramo olvidado o contado dos veces
    .remedy = cuenten los tramos y midan de nuevo
finding-tape-complement = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: las dos suman la cinta entera: una se leyó desde el otro extremo
    .remedy = miren hacia dónde crecen los números y midan de nuevo
finding-foot-complement = { $unit ->
    [metre] primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: las centésimas suman un metro: una se leyó desde el lado equivocado de la marca
   *[foot] primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: las centésimas suman un pie: una se leyó desde el lado equivocado de la marca
  }
    .remedy = lean las centésimas desde el lado del cero y midan de nuevo
finding-swapped = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: dos cifras cambiadas de lugar
    .remedy = digan las cifras una por una y midan de nuevo
finding-six-nine = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: seis y nueve: una cifra leída al revés
    .remedy = léanla otra vez al derecho
finding-teen-ty = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: números que suenan parecido, como trece y treinta
    .remedy = digan las cifras una por una
finding-sound-alike = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: cifras que suenan parecido
    .remedy = digan las cifras una por una
finding-one-tenth = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo una décima de diferencia: se leyó mal una décima
    .remedy = lean otra vez las décimas
finding-inches = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: pies y pulgadas: una se leyó con doce pulgadas por pie
    .remedy = lean décimas y centésimas y midan de nuevo
finding-differs = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: no corresponde a ningún error conocido
    .remedy = midan de nuevo
finding-within-tolerance = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: dentro de la tolerancia
finding-unchecked = no se hizo la comprobación deseada
finding-long-gap = { $seconds } segundos entre las partes de una misma lectura
    .remedy = miren si son de la misma lectura
finding-not-sure = no se oyeron bien { $part ->
    [whole] { $unit ->
        [metre] el metro entero
       *[foot] el pie entero
      }
    [fraction] las centésimas
   *[reading] la lectura
  } de la { $measurement ->
    [take] primera
   *[check] segunda
  }
    .remedy = { $severity ->
        [stop] que quede la primera, que quede la segunda, o midan de nuevo
       *[note] revisen lo que se dijo
      }
finding-repeat-differs = { $part ->
    [whole] { $unit ->
        [metre] el metro entero: antes { WHOLE($first) }, ahora { WHOLE($second) }
       *[foot] el pie entero: antes { WHOLE($first) }, ahora { WHOLE($second) }
      }
    [fraction] las centésimas: antes { PART($first) }, ahora { PART($second) }
   *[length] la longitud: antes { HUNDREDTHS($first) }, ahora { HUNDREDTHS($second) }
  }
    .remedy = tachen la equivocada, decidan primera o segunda, o midan de nuevo
finding-keyed-stands = { $part ->
    [whole] oído { WHOLE($second) } junto a lo tecleado { WHOLE($first) }; vale lo tecleado
    [fraction] oído { PART($second) } junto a lo tecleado { PART($first) }; vale lo tecleado
   *[length] oído { HUNDREDTHS($first) }, tecleado { HUNDREDTHS($second) }; vale lo tecleado, y la otra parte como se oyó
  }

# Por qué un tramo queda como se leyó.
finding-not-corrected = sin corregir: { $why }
    .remedy = { $remedy }
length-not-correctable = una longitud leída de { $length } no se puede corregir
length-not-correctable-remedy = midan de nuevo ese tramo
not-a-temperature = { $degrees } °F no es una temperatura
not-a-temperature-remedy = midan de nuevo ese tramo y digan la temperatura
tension-no-pull = una tensión de { $tension } no es tirar
tension-no-pull-remedy = midan de nuevo ese tramo y digan la tensión
tension-breaks-tape = { $unit ->
    [metre] ninguna cinta de { $area } milímetros cuadrados aguanta una tensión de { $tension }
   *[foot] ninguna cinta de { $area } pulgadas cuadradas aguanta una tensión de { $tension }
  }
tension-breaks-tape-remedy = revisen la tensión, su unidad y el certificado
spans-not-possible = una cinta no puede colgar en { $spans } vanos
spans-not-possible-remedy = midan de nuevo ese tramo y digan el apoyo (0 es en todo el largo)
cannot-hang = con { $tension }, { $length } de esta cinta no pueden colgar en { $spans } vanos; hacen falta más de { $least }
cannot-hang-remedy = midan de nuevo ese tramo y digan tensión y apoyo
rise-beyond-length = un desnivel de { $rise } es mayor que la longitud de { $length }
rise-beyond-length-remedy = midan de nuevo ese tramo y digan el desnivel

## Words of the crew.

crew-head = delantero
crew-rear = trasero
crew-crew = cuadrilla
crew-the-crew = la cuadrilla
crew-policy = regla
crew-take = primera
crew-check = segunda
crew-the-whole-foot = { $unit ->
    [metre] el metro entero
   *[foot] el pie entero
  }
crew-the-hundredths = las centésimas
crew-the-reading = la lectura
crew-the-length = la longitud
crew-whole-foot = { $unit ->
    [metre] metro entero
   *[foot] pie entero
  }
crew-hundredths = centésimas
crew-that = eso
crew-minus = menos
crew-plus = más
crew-star = asterisco
crew-slash = barra
crew-foot = { $unit ->
    [metre] metro
   *[foot] pie
  }
crew-feet = { $unit ->
    [metre] metros
   *[foot] pies
  }
crew-pound = libra
crew-pounds = { $unit ->
    [metre] newtons
   *[foot] libras
  }
crew-newton = newton
crew-newtons = newtons
crew-degree = grado
crew-degrees = grados
crew-second = segundo
crew-seconds = segundos
crew-temperature = temperatura
crew-tension = tensión
crew-spans = apoyos
crew-position = altura
crew-rise = desnivel
crew-hold = sujeto en
crew-tape = cinta
crew-line = línea
crew-left = izquierda
crew-right = derecha
crew-finish = línea terminada
crew-again = medir de nuevo

## What follows a call: results.

told-pull = tramo { $pull }, { $length }
told-pull-first-kept = tramo { $pull }, queda la primera, { $length }
told-pull-second-kept = tramo { $pull }, queda la segunda, { $length }
told-pull-not-checked = tramo { $pull }, sin comprobar, { $length }
told-stop-pull = alto. tramo { $pull }. { $words }. { $remedy }
told-held-pull-waits = en espera. el tramo { $pull } está pendiente
told-pull-is-open-again = el tramo { $pull } está abierto otra vez
told-scratched = tachado { $old }
told-not = { $new }, no { $old }
told-and-a-half = y media
told-stop = alto
told-pull-2 = tramo
told-scratched-2 = tachado
told-not-checked = sin comprobar
told-first-kept = queda la primera

## Tapes, lines and remarks.

line-there-is-no-number-here = aquí no hay { $what } número { $number }
line-tape-number = cinta número { $number }, { $name }
line-line-number = línea número { $number }, { $line }
line-to = { $begins } a { $to }
line-to-run = { $begins } a { $to }, recorrido { $run }
line-no-sound-is-kept-in-this = en este trabajo no se guarda sonido, así que no puede haber comentarios
line-the-remark-was-not-kept = el comentario no se guardó

## Devices.

device-microphone-lost = micrófono perdido
device-microphone-is-back = el micrófono volvió
device-too-loud = demasiado fuerte
device-too-faint-come-closer-to-the = demasiado bajo, acérquese al micrófono
device-too-much-noise = demasiado ruido
device-stop-nothing-more-is-heard = alto. ya no se oye nada
device-the-disk-is-slow-wait = el disco es lento, espere
device-the-disk-is-slow-s-for = el disco es lento: { $seconds } s para escribir una vez
device-all-calls-are-on-disk = todas las lecturas están en el disco
device-all-is-on-disk = todo está en el disco
device-stop-the-disk-takes-nothing = alto. el disco no acepta nada
device-stop-one-call-is-not-on = alto. una lectura no está en el disco
device-stop-calls-are-not-on-disk = alto. { $count } lecturas no están en el disco
device-the-disk-takes-nothing = el disco no acepta nada: { $reason }
device-nothing-can-be-written-to-the = no se puede escribir nada en el disco
device-1-call-is-not-on-disk = 1 lectura no está en el disco
device-calls-are-not-on-disk = { $calls } lecturas no están en el disco
device-stop-the-work-bring-the-disk = detenga el trabajo; vuelva a poner el disco, o haga sitio en él
device-these-calls-are-not-on-disk = Estas lecturas no están en el disco:
device-the-computer-s-clock-went-forward = el reloj del ordenador se adelantó { $span }; las horas de antes y después no se comparan
device-the-computer-s-clock-went-back = el reloj del ordenador se atrasó { $span }; las horas de antes y después no se comparan
device-the-computer-s-clock-is-before = el reloj del ordenador va { $span } por detrás de la última entrada del trabajo; ¿está en hora?
device-the-computer = el ordenador
device-no-sound-is-kept = no se guarda sonido
device-keypad-lost = teclado perdido
device-keypad-back = el teclado volvió
device-keypad-lost-2 = teclado { $name } perdido
device-keypad-back-2 = el teclado { $name } volvió
device-microphone-lost-it-is-looked-for = micrófono { $name } perdido: { $reason }; se está buscando
device-microphone-is-back-after-s = el micrófono { $name } volvió después de { $seconds } s
device-some-sound-of-was-lost = se perdió sonido de { $name }
device-phone-is-paired = teléfono { $name } emparejado
device-phone-is-revoked = teléfono { $name } dado de baja
device-on-the-phone = { $who }, por teléfono
device-the-chief-s-page-was-lost = se perdió la página del jefe; vuelve a empezar
device-the-chief-s-page-goes-over = la página del jefe va por esta red sin cifrar
device-somebody-tries-to-guess-the-code = alguien intenta adivinar el código de la página del jefe
device-gone-on-with-calls-are-in = se sigue: { $status }; el trabajo tiene { $calls } lecturas
device-is-overdriven-the-loudest-parts-of = está saturado: se cortan las partes más fuertes
device-turn-its-gain-down-or-wear = baje la ganancia, o llévelo más lejos de la boca
device-is-too-loud-or-too-near = está demasiado fuerte, o demasiado cerca de la boca
device-turn-its-gain-down-or-wear-2 = baje la ganancia, o llévelo a un palmo
device-is-too-faint-or-too-far = está demasiado bajo, o demasiado lejos de la boca
device-turn-its-gain-up-or-wear = suba la ganancia, o llévelo más cerca
device-hears-much-noise-beside-the-voice = oye mucho ruido además de la voz
device-shield-it-from-the-wind-wear = protéjalo del viento, llévelo más cerca, o teclee las lecturas
device-gives-no-sound-at-all = no da ningún sonido
device-switch-it-on-unmute-it-and = enciéndalo, quite el silencio y revise el cable
device-has-a-constant-offset-so-that = tiene un desplazamiento constante, y corta por un lado lo que es fuerte
device-use-another-input-or-another-microphone = use otra entrada u otro micrófono

## Keys.

key-is-no-entry-type-it-again = { $typed } no es una entrada; tecléelo otra vez
key-a-key-that-is-none-of = una tecla que no es del teclado numérico; ¿está puesto Bloq Num? tecléelo otra vez
key-nothing-is-typed-minus-strikes-the = no hay nada tecleado; menos tacha la última lectura
key-a-point-alone-is-no-number = un punto solo no es un número
key-may-be-0-or-0-type = { $typed } puede ser .0{ $one } o .{ $other }0; teclee las dos cifras
key-may-be-0-or-0-type-2 = { $typed } puede ser { $one }.0{ $part } o { $other }.{ $digit }0; teclee las dos cifras
key-has-digits-after-the-point-type = { $typed } tiene { $digits } cifras después del punto; teclee dos
key-is-no-hundredths-type-two-digits = { $unit ->
    [metre] { $typed } no son centésimas; teclee dos cifras, o { $feet }. para un metro
   *[foot] { $typed } no son centésimas; teclee dos cifras, o { $feet }. para un pie
  }
key-has-no-point-type-feet-point = { $unit ->
    [metre] { $typed } no tiene punto; teclee metros, punto y las dos cifras
   *[foot] { $typed } no tiene punto; teclee pies, punto y las dos cifras
  }
key-is-beyond-this-ft-tape-type = { $unit ->
    [metre] { $typed } queda fuera de esta cinta de { $length } m; teclee metros, punto y las dos cifras
   *[foot] { $typed } queda fuera de esta cinta de { $length } ft; teclee pies, punto y las dos cifras
  }
key-begins-with-a-zero-type-for = { $unit ->
    [metre] { $typed } empieza con cero; teclee .{ $part } para centésimas, { $feet } para un metro
   *[foot] { $typed } empieza con cero; teclee .{ $part } para centésimas, { $feet } para un pie
  }
key-states-nothing = { $code }* no indica nada; { $codes }
key-needs-a-number = { $typed } necesita un número: { $name } { $range }
key-has-a-point-is-typed-in = { $typed } tiene punto; { $name } se teclea en números enteros
key-type-both-digits-after-the-point = { $typed }: teclee las dos cifras después del punto
key-does-not-go = { $name } { $amount } no es posible; { $range }
key-means-nothing = { $after } no significa nada; { $steps }
key-1-keep-the-first-2-keep = 1/ queda la primera, 2/ queda la segunda, 0/ medir de nuevo, 3/ siguiente tramo, 9/ línea terminada
key-is-no-note-type-it-like = { $typed } no es una nota; teclee como 1+25/18.4 a la derecha, 1+25-18.4 a la izquierda
key-the-foot-or-the-hundredths-whichever = { $unit ->
    [metre] el metro o las centésimas, lo que le toque decir
   *[foot] el pie o las centésimas, lo que le toque decir
  }
key-a-whole-foot-whatever-is-expected = { $unit ->
    [metre] un metro entero, se espere lo que se espere
   *[foot] un pie entero, se espere lo que se espere
  }
key-hundredths-whatever-is-expected-always-both = centésimas, se espere lo que se espere; siempre las dos cifras: .05, .50
key-a-full-reading = una lectura completa
key-say-again = repetir
key-strike-the-last-call-while-something = tachar la última lectura; si hay algo tecleado: borrarlo
key-clear-the-last-key = borrar la última tecla
key-switch-ends = cambiar extremos
key-keep-the-first = queda la primera
key-keep-the-second = queda la segunda
key-next-pull = siguiente tramo
key-line-finished = línea terminada
key-temperature-1-5-below-zero = temperatura; 1*-5 bajo cero
key-support-0-throughout-1-ends-only = apoyo: 0 en todo el largo, 1 solo en los extremos, o número de vanos iguales
key-held-at-0-ground-1-knee = sujeta a la altura de: 0 suelo, 1 rodilla, 2 cintura, 3 pecho
key-rise-between-the-ends-5-0 = desnivel entre los extremos; 5*0 a nivel
key-foot-mark-that-the-other-end = { $unit ->
    [metre] marca de metro que sujeta el otro extremo
   *[foot] marca de pie que sujeta el otro extremo
  }
key-another-tape-by-its-number = otra cinta, por su número
key-another-line-by-its-number = otra línea, por su número
key-a-remark-kept-as-sound = un comentario, guardado como sonido
key-a-note-at-station-1-25 = { $unit ->
    [metre] una nota: en la estación 1+25, a la derecha 18.4 m
   *[foot] una nota: en la estación 1+25, a la derecha 18.4 ft
  }
key-a-note-at-station-1-25-2 = { $unit ->
    [metre] una nota: en la estación 1+25, a la izquierda 18.4 m
   *[foot] una nota: en la estación 1+25, a la izquierda 18.4 ft
  }

## The screen; the first words have at most eight letters.

screen-pull = TRAMO
screen-agrees = CUADRA
screen-booked = HECHO
screen-stop = ALTO
screen-asked = REPITA
screen-agrees-2 = = CUADRA
screen-booked-2 = = HECHO
screen-stop-2 = ! ALTO
screen-asked-2 = ? REPITA
screen-note = ! aviso
screen-typed = tecleado
screen-next = sigue
screen-or = o
screen-do = hagan
screen-earlier = antes
screen-phones = móviles
screen-noise = ruido
screen-taken = tomada
screen-asked-again = se repite
screen-held = en espera
screen-struck = tachado
screen-talk = charla
screen-remark = comentario
screen-booked-ft-read = { $unit ->
    [metre] anotados { $pulls }, leídos { $length } m
   *[foot] anotados { $pulls }, leídos { $length } ft
  }
screen-calls-held = { $calls } lecturas en espera
screen-ft = { $unit ->
    [metre] { $tape }, { $length } m, { $style }
   *[foot] { $tape }, { $length } ft, { $style }
  }
screen-add = suma
screen-cut = resta
screen-full = completa
screen-inset = cero metido
screen-pull-next = { $line }, tramo { $pull }; sigue: { $expected }
screen-a-decision-of-the-chief = una decisión del jefe
screen-a-decision-calllog-decide-job-first = una decisión: calllog decide TRABAJO { $pull } first|check|again
screen-the-line-is-finished-begin-the = la línea está terminada: empiecen la siguiente
screen-both-switch-ends = los dos: cambien de extremo
screen-both-switch-ends-or-next-pull = los dos: cambien de extremo, o siguiente tramo
screen-the-reading-of-the = la lectura de la { $which }
screen-the-whole-foot-of-the = { $unit ->
    [metre] el metro entero de la { $which }
   *[foot] el pie entero de la { $which }
  }
screen-the-hundredths-of-the = las centésimas de la { $which }
screen-the-whole-foot-the-hundredths-of = { $unit ->
    [metre] el metro entero y las centésimas de la { $which }
   *[foot] el pie entero y las centésimas de la { $which }
  }
screen-rear-the-whole-foot-head-the = { $unit ->
    [metre] trasero: el metro entero, delantero: las centésimas, de la { $which }
   *[foot] trasero: el pie entero, delantero: las centésimas, de la { $which }
  }
screen-head-the-whole-foot-rear-the = { $unit ->
    [metre] delantero: el metro entero, trasero: las centésimas, de la { $which }
   *[foot] delantero: el pie entero, trasero: las centésimas, de la { $which }
  }
screen-held-2 = { $reading } - { $held } sujeto = { $length }
screen-keeps = queda { $length }
screen-strikes-the-last-number = tacha el último número
screen-strikes-the-last-number-opens-pull = tacha el último número y abre otra vez el tramo { $pull }
screen-begins-the-check = empieza la comprobación
screen-measures-this-pull-again = mide de nuevo este tramo
screen-books-the-pull-unchecked = anota el tramo sin comprobar
screen-books-the-pull-unchecked-closes-the = anota el tramo sin comprobar y cierra la línea
screen-closes-the-line = cierra la línea
screen-head = delantero: { $question }
screen-rear = trasero: { $question }
screen-crew = cuadrilla: { $question }
screen-pull-ft = { $unit ->
    [metre] tramo { $pull }: { $length } m
   *[foot] tramo { $pull }: { $length } ft
  }
screen-pull-ft-not-checked = { $unit ->
    [metre] tramo { $pull }: { $length } m, sin comprobar
   *[foot] tramo { $pull }: { $length } ft, sin comprobar
  }
screen-pull-ft-difference = { $unit ->
    [metre] tramo { $pull }: { $length } m, diferencia { $difference }
   *[foot] tramo { $pull }: { $length } ft, diferencia { $difference }
  }
screen-pull-ft-difference-take-kept-by = { $unit ->
    [metre] tramo { $pull }: { $length } m, diferencia { $difference }, queda la primera por { $by }
   *[foot] tramo { $pull }: { $length } ft, diferencia { $difference }, queda la primera por { $by }
  }
screen-pull-ft-difference-check-kept-by = { $unit ->
    [metre] tramo { $pull }: { $length } m, diferencia { $difference }, queda la segunda por { $by }
   *[foot] tramo { $pull }: { $length } ft, diferencia { $difference }, queda la segunda por { $by }
  }
screen-pull-ft-take-kept-by = { $unit ->
    [metre] tramo { $pull }: { $length } m, queda la primera por { $by }
   *[foot] tramo { $pull }: { $length } ft, queda la primera por { $by }
  }
screen-pull-ft-check-kept-by = { $unit ->
    [metre] tramo { $pull }: { $length } m, queda la segunda por { $by }
   *[foot] tramo { $pull }: { $length } ft, queda la segunda por { $by }
  }

## Lines of a log.

log-conditions = condiciones
log-pull-first-decided-by = > tramo { $pull }: queda la primera, lo decidió { $by }
log-pull-check-decided-by = > tramo { $pull }: queda la segunda, lo decidió { $by }
log-pull-again-decided-by = > tramo { $pull }: medir de nuevo, lo decidió { $by }
log-pull-booked-ft-agreed = { $unit ->
    [metre] = tramo { $pull } anotado: { $length } m (cuadra)
   *[foot] = tramo { $pull } anotado: { $length } ft (cuadra)
  }
log-pull-booked-ft-first = { $unit ->
    [metre] = tramo { $pull } anotado: { $length } m (queda la primera)
   *[foot] = tramo { $pull } anotado: { $length } ft (queda la primera)
  }
log-pull-booked-ft-check = { $unit ->
    [metre] = tramo { $pull } anotado: { $length } m (queda la segunda)
   *[foot] = tramo { $pull } anotado: { $length } ft (queda la segunda)
  }
log-pull-booked-ft-unchecked = { $unit ->
    [metre] = tramo { $pull } anotado: { $length } m (sin comprobar)
   *[foot] = tramo { $pull } anotado: { $length } ft (sin comprobar)
  }
log-note = aviso
log-call-struck = - lectura { $call } tachada
log-call-held-pull-waits = | lectura { $call } en espera: el tramo { $pull } está pendiente
log-pull-opened-again = - tramo { $pull } abierto otra vez
log-pulls-booked = { $pulls } tramos anotados; { $status }.
log-there-is-no-voice-in-this = No hay voz en español: solo tonos; indique una con --voice.
log-decide-it = Decídalo
log-the-same-command-goes-on-from = La misma orden sigue desde aquí.
log-caution-keep-steel-tapes-clear-of = Cuidado: aparten las cintas de acero de los cables eléctricos, atiendan al tránsito, dejen libres los oídos y no graben a nadie sin su consentimiento.

## Conditions.

condition-temperature = temperatura ?
condition-temperature-f = temperatura { $degrees } °F
condition-temperature-c = temperatura { $degrees } °C
condition-tension = tensión ?
condition-tension-lb = { $unit ->
    [metre] tensión { $pounds } N
   *[foot] tensión { $pounds } lb
  }
condition-support = apoyo ?
condition-supported-throughout = apoyada en todo el largo
condition-throughout = en todo el largo
condition-ends-only = solo extremos
condition-equal-spans = { $spans } vanos iguales
condition-level = a nivel
condition-rise = desnivel ?
condition-rise-ft = { $unit ->
    [metre] desnivel { $rise } m
   *[foot] desnivel { $rise } ft
  }
condition-rise-ft-2 = desnivel ?
condition-on-the-ground = en el suelo
condition-at-the-knee = a la rodilla
condition-at-the-waist = a la cintura
condition-at-the-chest = al pecho
condition-ground = suelo
condition-knee = rodilla
condition-waist = cintura
condition-chest = pecho
condition-holding-ft = { $unit ->
    [metre] sujeto en { $mark } m
   *[foot] sujeto en { $mark } ft
  }

## The field page.

page-the-day = El día
page-job = Trabajo
page-day = Día
page-not-stated = no consta
page-all-lengths-in = Longitudes en
page-lengths-in = { $unit ->
    [metre] metros
   *[foot] { $foot ->
        [us_survey] pies topográficos de EE. UU.
       *[international] pies internacionales
      }
  }
page-pulls = Tramos
page-length-read = Longitud leída
page-horizontal-length = Longitud horizontal
page-standard-uncertainty = Incertidumbre típica (k = 1)
page-not-known = no se sabe
page-tolerance-of-check = Tolerancia entre primera y segunda
page-check-policy = { $policy ->
    [required] comprobación obligatoria
    [wanted] comprobación deseada
   *[none] sin comprobación
  }
page-book-policy = { $policy ->
    [mean] se anota la media
   *[first] se anota la primera
  }
page-state-of-the-job = Estado del trabajo
page-pages-of-this-job = Páginas de este trabajo
page-lines = Líneas
page-about-lines = { $unit ->
    [metre] Cada recorrido de una línea. Longitudes en metros; u es la incertidumbre típica (k = 1).
   *[foot] Cada recorrido de una línea. Longitudes en pies; u es la incertidumbre típica (k = 1).
  }
page-lines-of-the-day = Líneas del día
page-line = Línea
page-line-name = { $run ->
    [1] { $begins } a { $ends }
   *[other] { $begins } a { $ends }, recorrido { $run }
  }
page-read = Leída
page-horizontal = Horizontal
page-state = Estado
page-finished = terminada
page-nothing-booked = No se ha anotado ningún tramo.
page-field-notes = Libreta de campo
page-field-notes-of = Libreta de campo de { $line }
page-about-field-notes = { $unit ->
    [metre] Longitudes y correcciones en metros; una corrección se suma a la longitud leída. ? = no se sabe, así que no se corrige; * = suma sin lo que no se sabe. Lo tachado queda legible. A la izquierda de la raya doble las anotaciones, a la derecha comentarios y avisos.
   *[foot] Longitudes y correcciones en pies; una corrección se suma a la longitud leída. ? = no se sabe, así que no se corrige; * = suma sin lo que no se sabe. Lo tachado queda legible. A la izquierda de la raya doble las anotaciones, a la derecha comentarios y avisos.
  }
page-pull = Tramo
page-from-point = De
page-to-small = a
page-to = a { $ends }
page-tape-small = cinta
page-take = Primera
page-check = Segunda
page-take-small = primera
page-conditions = Condiciones
page-temperature = { $unit ->
    [metre] { $degrees } °C
   *[foot] { $degrees } °F
  }
page-tension = { $unit ->
    [metre] { $force } N
   *[foot] { $force } lb
  }
page-support = { $spans ->
    [0] en todo el largo
    [1] solo extremos
   *[other] { $spans } vanos iguales
  }
page-support-unknown = apoyo ?
page-level = a nivel
page-rise = { $unit ->
    [metre] desnivel { $rise } m
   *[foot] desnivel { $rise } ft
  }
page-rise-unknown = desnivel ?
page-position = { $position ->
    [ground] suelo
    [knee] rodilla
    [waist] cintura
    [chest] pecho
   *[other] { $position }
  }
page-corrections = Correcciones
page-running-total = Acumulado
page-station-small = estación
page-remarks-and-findings = Comentarios y avisos
page-standardisation-short = calibr.
page-temperature-short = temp.
page-tension-short = tensión
page-sag = catenaria
page-slope = pendiente
page-sum = suma
page-no-check = sin segunda
page-none = ninguna
page-stop = Alto
page-note = Aviso
page-struck = Tachado
page-struck-small = tachado
page-stands = vale
page-struck-superseded = medido de nuevo o desechado
page-struck-overruled = quedó la otra
page-struck-call = la lectura { $call } se tachó
page-booking = { $booking ->
    [agreed] primera y segunda cuadran
    [first] queda la primera, lo decidió { $who }
    [check] queda la segunda, lo decidió { $who }
   *[unchecked] sin comprobar
  }
page-policy = regla
page-crew = cuadrilla
page-booked = anotado
page-calls-of-pull = { $calls ->
    [one] { $calls } lectura del tramo { $pull }
   *[other] { $calls } lecturas del tramo { $pull }
  }
page-with-their-sound = con su sonido
page-call-small = lectura { $number }
page-call = Lectura { $number }
page-caller = { $role ->
    [head] delantero
   *[rear] trasero
  }
page-typed = tecleado
page-asked = se preguntó
page-remark-call = Comentario, lectura { $number }
page-remark-of-call = Comentario de la lectura { $number }
page-no-sound = su sonido no está aquí
page-lacking = Lo que falta en esta línea
page-caution-unfinished = la cuadrilla no terminó esta línea
page-caution-unchecked = { $count ->
    [one] sin comprobar: tramo { $pulls }
   *[other] sin comprobar: tramos { $pulls }
  }
page-caution-uncorrected = { $count ->
    [one] sin corregir, vale como se leyó: tramo { $pulls }
   *[other] sin corregir, valen como se leyeron: tramos { $pulls }
  }
page-caution-lacking = { $count ->
    [one] no se sabe la corrección por { $correction }: tramo { $pulls }
   *[other] no se sabe la corrección por { $correction }: tramos { $pulls }
  }
page-correction = { $correction ->
    [standardisation] calibración
    [temperature] temperatura
    [tension] tensión
    [sag] catenaria
   *[slope] pendiente
  }
page-caution-no-uncertainty = ningún tramo de esta línea se puede corregir: no se sabe su incertidumbre
page-caution-left-out = { $count ->
    [one] fuera de la incertidumbre: tramo { $pulls }
   *[other] fuera de la incertidumbre: tramos { $pulls }
  }
page-pull-begun = El tramo { $pull } de { $line } se empezó y no se anotó.
page-what-was-called = Lo que se dijo:
page-forward-against-back = Ida contra vuelta
page-about-runs = { $unit ->
    [metre] Longitudes horizontales en metros; diferencia: la segunda menos la primera. 1:N se redondea hacia abajo.
   *[foot] Longitudes horizontales en pies; diferencia: la segunda menos la primera. 1:N se redondea hacia abajo.
  }
page-runs-of-one-line = Recorridos de una línea
page-first = Primero
page-second = Segundo
page-difference = Diferencia
page-mean = Media
page-precision = Precisión
page-runs-compared = recorrido { $one } contra { $way ->
    [back] su vuelta
   *[again] el mismo otra vez
  }, recorrido { $other }{ $finished ->
    [both] {""}
   *[other] ; no están los dos terminados
  }
page-alike = iguales hasta la última cifra
page-no-line-measured-again = Ninguna línea se midió dos veces, así que no hay ida contra vuelta.
page-line-not-measured-again = Esta línea no se midió dos veces, así que no hay ida contra vuelta.
page-notes = Notas de estación y distancia al costado
page-about-notes = { $unit ->
    [metre] Distancias perpendiculares a la línea, en metros, mirando en el sentido en que se mide.
   *[foot] Distancias perpendiculares a la línea, en pies, mirando en el sentido en que se mide.
  }
page-station = Estación
page-side = Lado
page-which-side = { $side ->
    [left] izquierda
   *[right] derecha
  }
page-offset = Distancia
page-when = Cuándo
page-as-it-was-said = Como se dijo
page-no-notes = Ninguna.
page-remarks-on-line = Comentarios sobre { $line }, en un tramo que no se anotó
page-who-decided-what = Quién decidió qué, y cuándo
page-about-decisions = Del registro, en el orden en que se asentó. Lo que cuadra dentro de la tolerancia se anota por la regla de la línea y no aparece aquí.
page-decisions = Decisiones
page-what = Qué
page-who = Quién
page-journal-entry = Asiento
page-the-whole-job = todo el trabajo
page-deed-decided = { $choice ->
    [first] quedó la primera
    [check] quedó la segunda
   *[again] el tramo se mide de nuevo
  }
page-deed-struck = { $because ->
    [typed] la lectura { $call } se tachó porque se tecleó otro valor
   *[said] la lectura { $call } se tachó
  }
page-deed-reopened = el tramo se abrió otra vez después de anotado
page-deed-certificate = el certificado de la cinta { $tape } del asiento { $old } se sustituyó por el del asiento { $new }
page-deed-certificate-why = { page-deed-certificate }: { $why }
page-said-by = { $role ->
    [head] delantero
    [rear] trasero
   *[unsaid] la cuadrilla
  }, { $how ->
    [typed] tecleado
   *[said] dicho
  }
page-by-phone = { $name }, por teléfono
page-by-computer = el ordenador
page-all-by-policy = Nadie tuvo que decidir nada: todo se anotó por la regla de la línea.
page-nobody-decided = Nadie tuvo que decidir nada.
page-signed-off = Firmado
page-changed-since = { $entries ->
    [one] Cambiado después por { $entries } asiento
   *[other] Cambiado después por { $entries } asientos
  }
page-signed-by = por { $name } el { $date }
page-signed-as-of = hasta el asiento { $entry }, huella
page-unchanged-since = sin cambios desde entonces
page-rescued-from = Rescatado de { $job } el { $time }:
page-rescued = { $entries ->
    [one] se salvó { $entries } asiento
   *[other] se salvaron { $entries } asientos
  } del registro; { $lost ->
    [one] consta que se perdió { $lost } posterior
   *[other] consta que se perdieron { $lost } posteriores
  }, y { $sounds ->
    [one] falta { $sounds } sonido
   *[other] faltan { $sounds } sonidos
  }.
page-rescued-kept = Los asientos perdidos que aún se leen están en { $file }.
page-rescued-wrong = Qué estaba mal:
page-nobody-signed = Nadie ha firmado este trabajo.
page-uncertainty = Incertidumbre y de dónde viene
page-uncertainty-of-line = Incertidumbre típica de la longitud horizontal (k = 1)
page-uncertainty-from = { $unit ->
    [metre] { $random } m por lo que cambia de tramo en tramo, { $common } m por lo que es común a todos.
   *[foot] { $random } ft por lo que cambia de tramo en tramo, { $common } ft por lo que es común a todos.
  }
page-about-budget = Primero la parte mayor. Lo aleatorio se suma en cuadrados a lo largo de la línea, lo común en proporción.
page-budget = Balance de la incertidumbre
page-kind = Clase
page-distribution = Distribución
page-input-u = u de la entrada
page-sensitivity = { $unit ->
    [metre] Sensibilidad, m por unidad
   *[foot] Sensibilidad, ft por unidad
  }
page-contribution = { $unit ->
    [metre] Aporte, m
   *[foot] Aporte, ft
  }
page-share = Parte
page-source = Fuente
page-no-uncertainty = Ningún tramo de esta línea se puede corregir, así que no se sabe su incertidumbre.
page-crew-repeats = { $pairs ->
    [one] La cuadrilla: { $pairs } tramo comprobado se repite
   *[other] La cuadrilla: { $pairs } tramos comprobados se repiten
  } con { $one } { $unit ->
    [metre] m
   *[foot] ft
  } en una medida (95 %: { $low } a { $high } { $unit ->
    [metre] m
   *[foot] ft
  }).
page-crew-not-known = Ningún tramo se midió dos veces y cuadró, así que no se sabe la repetibilidad de la cuadrilla.
page-plots = Gráficas
page-tape-certificates = Certificados de las cintas
page-certificate-of-tape = Certificado de la cinta { $tape }
page-tape = Cinta { $tape }
page-certificate-entry = Dato del certificado
page-cautions = Advertencias
page-caution-boundaries = Los linderos los decide un profesional con licencia según la ley local.
page-caution-measured-only = Esta página dice qué se midió, no por dónde pasa un lindero.
page-caution-not-known = Lo que no se sabe no se corrige, y queda señalado. Las correcciones salen de las fórmulas y los certificados citados; la oficina las comprueba antes de confiar en ellas.
page-caution-safety = Las cintas de acero conducen la electricidad: apártenlas de los cables. Atiendan al tránsito, con los dos oídos libres. No graben a nadie sin su consentimiento; esta página puede traer el sonido de las lecturas.
page-software = Programa
page-calls-taken-by = Lecturas tomadas por
page-keys = teclas
page-written = Escrita
page-last-hash = Huella del último asiento del registro
page-about-journal = Calculada solo a partir del registro; la orden «calllog verify» lo prueba con esta huella. Las horas están en UTC; las de una grabación dicen cuándo se tomó.

## A certificate on the page.

page-edition-in-force = { $says ->
    [by] Asiento { $entry }, vigente, por { $by }
    [why] Asiento { $entry }, vigente: { $why }
    [by-and-why] Asiento { $entry }, vigente, por { $by }: { $why }
   *[nothing] Asiento { $entry }, vigente
  }
page-edition-replaced = { $says ->
    [by] Asiento { $entry }, sustituido, por { $by }
    [why] Asiento { $entry }, sustituido: { $why }
    [by-and-why] Asiento { $entry }, sustituido, por { $by }: { $why }
   *[nothing] Asiento { $entry }, sustituido
  }
page-certificate = Certificado
page-date = Fecha
page-laboratory = Laboratorio
page-holds = Vale
page-holds-days = { $bounds ->
    [begin] desde { $begin }
    [end] hasta { $end }
   *[both] desde { $begin } hasta { $end }
  }
page-graduation = Graduación
page-style = { $style ->
    [add] suma
    [cut] resta
    [inset] cero metido
   *[full] completa
  }
page-nominal-length = Longitud nominal
page-held-mark = Marca sujeta
page-certificate-foot = Pie
page-which-foot = { $foot ->
    [us-survey] pie topográfico de EE. UU.
   *[international] pie internacional
  }
page-certified-length = Longitud certificada
page-certified-uncertainty = Su incertidumbre típica
page-certified-temperature = A una temperatura de
page-certified-tension = Con una tensión de
page-certified-support = Apoyada
page-certified-spans = { $spans ->
    [0] en todo el largo
    [1] solo en los extremos
   *[other] en { $spans } vanos iguales
  }
page-weight = Peso
page-mass = Masa
page-cross-section = Sección
page-modulus = Módulo de elasticidad
page-expansion = Dilatación
page-per-degree = { $unit ->
    [metre] { $alpha } por °C
   *[foot] { $alpha } por °F
  }

## What makes the uncertainty; sources are cited as they are.

source-common-practice = práctica común, sin fuente publicada
source-least-count = { $unit ->
    [metre] la mitad de la menor división, 0.01 m (GUM F.2.2.1)
   *[foot] la mitad de la menor división, 0.01 ft (GUM F.2.2.1)
  }
input-kind = { $kind ->
    [random] aleatoria
    [common] común
   *[one-way] de un solo lado
  }
input-shape = { $shape ->
    [normal] normal
    [rectangular] rectangular
    [triangular] triangular
   *[arcsine] arcoseno
  }
input-reading = lectura
input-marking = marcado
input-certified-length = longitud certificada, cinta { $of }
input-stiffness = rigidez AE, cinta { $of }
input-weight = { $unit ->
    [metre] peso por metro, cinta { $of }
   *[foot] peso por pie, cinta { $of }
  }
input-expansion = dilatación del acero
input-thermometer = termómetro
input-temperature = temperatura de la cinta
input-temperature-unknown = temperatura no conocida
input-plumbing = aplomado de los dos extremos, { $of ->
    [ground] suelo
    [knee] rodilla
    [waist] cintura
   *[chest] pecho
  }
input-sag-unknown = catenaria no conocida
input-slope-unknown = pendiente no conocida
input-level = a nivel
input-rise = desnivel
input-off-line = fuera de línea
input-tension-unknown = tensión no conocida
input-tension-habit = tensión, costumbre o balanza
input-tension = tensión de tramo en tramo
input-tension-times-habit = tensión de tramo en tramo por costumbre
input-mean = { $input }, media
input-spread = { $input }, dispersión
budget-uncertainty = { $unit ->
    [metre] la incertidumbre típica de { $length } m es { $u } m
   *[foot] la incertidumbre típica de { $length } ft es { $u } ft
  }
budget-adds-most = { $input } ({ $kind }) es lo que más aporta, { $share } de la varianza
budget-would-help = { $unit ->
    [metre] { $improvement } la llevaría de { $u } a { $better } m
   *[foot] { $improvement } la llevaría de { $u } a { $better } ft
  }
budget-nothing-helps = nada de lo que aparece ayudaría mucho
budget-left-out = { $count ->
    [one] fuera de ella, porque no se puede corregir: tramo { $pulls }
   *[other] fuera de ella, porque no se pueden corregir: tramos { $pulls }
  }
improve-spring-balance = un dinamómetro en lugar de tensar al tacto
improve-thermometer = un termómetro sujeto a la cinta en lugar de uno al aire
improve-certificate = un certificado de laboratorio nuevo en lugar del actual
improve-held-low = los extremos a la rodilla o más abajo en lugar de más altos
improve-tripods = trípodes con marcas finas en lugar de plomadas y fichas
improve-rises = desniveles medidos al uno por mil en lugar de nivelar a ojo
improve-lining-in = alinear con instrumento en lugar de a ojo
improve-tape-weighed = pesar la cinta y medir su sección en lugar de usar cifras habituales
improve-temperature-stated = decir la temperatura en cada tramo
improve-tension-stated = decir tensión y apoyo en cada tramo
improve-rise-stated = decir el desnivel, o a nivel, en cada tramo

## Plots.

page-plots-missing = Las gráficas no están: instálelas con: pip install 'calllog[plots]'
plot-differences = Diferencias de la comprobación a lo largo del día
plot-differences-none = Ningún tramo se midió dos veces.
plot-differences-words = { $checked } de { $pulls } { $pulls ->
    [one] tramo
   *[other] tramos
  } { $checked ->
    [one] tiene
   *[other] tienen
  } comprobación. { $unit ->
    [metre] Diferencia mayor { $greatest } m, tolerancia { $tolerance } m
   *[foot] Diferencia mayor { $greatest } ft, tolerancia { $tolerance } ft
  }; fuera de ella: { $beyond }.
plot-none-beyond = ninguna
plot-beyond-pull = { $unit ->
    [metre] tramo { $pull } { $difference } m
   *[foot] tramo { $pull } { $difference } ft
  }
plot-beyond-and-more = { $listed } y más
plot-within = dentro de la tolerancia
plot-tolerance = tolerancia
plot-beyond = fuera de ella, decidida (con su valor)
plot-check-minus-take = { $unit ->
    [metre] segunda menos primera, m
   *[foot] segunda menos primera, ft
  }
plot-number-of-pull = número del tramo
plot-corrections = Correcciones de cada tramo, apiladas
plot-corrections-none = No se anotó ningún tramo.
plot-corrections-words = { $unit ->
    [metre] Sumas de las correcciones: { $range } m por tramo.
   *[foot] Sumas de las correcciones: { $range } ft por tramo.
  } En { $lacking } de { $pulls } { $pulls ->
    [one] tramo
   *[other] tramos
  } no se sabe alguna corrección.
plot-range = { $least } a { $most }
plot-sum = suma
plot-correction = { $unit ->
    [metre] corrección, m
   *[foot] corrección, ft
  }
plot-drift = { $unit ->
    [metre] La temperatura, y lo que hace a 100 m de cinta
   *[foot] La temperatura, y lo que hace a 100 ft de cinta
  }
plot-drift-none = No consta ninguna temperatura.
plot-drift-words = Consta la temperatura en { $stated } de { $pulls } { $pulls ->
    [one] tramo
   *[other] tramos
  }: { $unit ->
    [metre] { $range } °C; certificada a { $standards } °C
   *[foot] { $range } °F; certificada a { $standards } °F
  }.
plot-tape = cinta
plot-drift-changed = { $unit ->
    [metre] 100 m de cinta cambiaron { $range } m respecto a su certificado.
   *[foot] 100 ft de cinta cambiaron { $range } ft respecto a su certificado.
  }
plot-certified = certificada
plot-temperature = { $unit ->
    [metre] temperatura, °C
   *[foot] temperatura, °F
  }
plot-temperature-correction = corrección
plot-per-hundred = { $unit ->
    [metre] m por 100 m
   *[foot] ft por 100 ft
  }
plot-certainty = Con qué seguridad se oyó cada lectura, y qué se preguntó
plot-certainty-none = No se oyó ninguna lectura; todas se teclearon.
plot-certainty-words = { $calls ->
    [one] Se oyó { $calls } lectura
   *[other] Se oyeron { $calls } lecturas
  }, { $asked ->
    [one] { $asked } llevó a una pregunta
   *[other] { $asked } llevaron a una pregunta
  }.
plot-taken = tomada
plot-certainty-least = Seguridad menor de una lectura tomada: { $least } %.
plot-asked = preguntada
plot-number-of-call = número de la lectura
plot-certainty-percent = seguridad, %

## The printed card.

page-voice-protocol-for-taping-crews = Protocolo de voz para cuadrillas de cinta
page-a-pull = Un tramo
page-closed-loop = Decir y confirmar
page-numbers = Números
page-commands = Órdenes
page-conditions-from-then-on = Condiciones, desde ese momento
page-tones = Tonos
page-keypad-at-any-moment-is-enter = Teclado, en cualquier momento ({ $enter } es Intro)
page-crew-talk-is-not-taken-and = La conversación no se toma: { $talk } y parecidos. calllog { $version }, gramática { $grammar }.
page-change-ends-the-check-follows = cambiar de extremo; sigue la segunda
page-the-pull-from-its-start-the = el tramo desde el principio; quedan las dos
page-at-a-stop-the-first-stands = en un alto: vale la primera
page-at-a-stop-the-second-stands = en un alto: vale la segunda
page-goes-on-without-a-check-where = sigue sin comprobar, donde no hace falta
page-what-is-said-next-is-kept = lo siguiente se guarda como sonido
page-of-the-tape-degrees-fahrenheit = de la cinta, grados Fahrenheit
page-how-the-tape-is-supported = cómo está apoyada la cinta
page-where-the-tape-is-held = a qué altura se sujeta
page-height-between-the-two-ends-feet = { $unit ->
    [metre] desnivel entre los extremos, metros
   *[foot] desnivel entre los extremos, pies
  }
page-foot-mark-at-the-other-end = { $unit ->
    [metre] marca de metro en el otro extremo
   *[foot] marca de pie en el otro extremo
  }
page-another-tape = otra cinta
page-another-line = otra línea
page-number = número
page-feet-point-hundredths = { $unit ->
    [metre] metros punto centésimas
   *[foot] pies punto centésimas
  }
page-one-short-beep = un pitido corto
page-heard-it-is-in-the-log = oído: está anotado
page-two-quick-rising = dos rápidos, subiendo
page-take-and-check-agree-booked = primera y segunda cuadran: anotado
page-two-the-second-long = dos, el segundo largo
page-a-question-say-it-again = una pregunta: repítalo
page-three-long-low = tres largos, graves
page-stop-take-and-check-differ = ALTO: primera y segunda no cuadran
page-a-click = un clic
page-a-key-was-taken = se tomó una tecla
page-one-very-long-low = uno muy largo, grave
page-the-key-means-nothing-here = esa tecla no dice nada aquí
page-two-falling = dos, bajando
page-what-was-typed-is-cleared = se borró lo tecleado
page-four-quick-very-high = cuatro rápidos, muy agudos
page-look-at-the-screen-device-or = miren la pantalla: aparato o ruido
page-b-take-b-one-end-calls = { $unit ->
    [metre] <b>Primera.</b> Un extremo dice el metro entero, el otro las centésimas; o uno lo dice todo.
   *[foot] <b>Primera.</b> Un extremo dice el pie entero, el otro las centésimas; o uno lo dice todo.
  }
page-change-ends-and-both-call-again = { $switch }, cambien de extremo y digan los dos otra vez: es la <b>segunda</b>.
page-within-the-tolerance-it-is-booked = Dentro de la tolerancia se anota; lo siguiente que se diga empieza el tramo siguiente.
page-a-tape-that-b-cuts-b = Una cinta que <b>resta</b>: digan por separado la marca sujeta y las centésimas, nunca resten.
page-b-call-b-then-wait-for = <b>Diga</b> y espere el tono o la voz: mientras habla, no oye.
page-b-right-b-say-nothing-b = <b>¿Bien?</b> No diga nada: <b>quien calla otorga.</b>
page-b-wrong-b-say-and-call = <b>¿Mal?</b> Diga { $scratch }, y dígalo otra vez.
page-b-asked-b-say-it-again = <b>¿Pregunta?</b> Repítalo, las dos cifras, una por una.
page-b-stop-b-nobody-moves-on = <b>¿ALTO?</b> Nadie se mueve. Miren las marcas, digan { $again }, o decide el jefe.
page-b-overhead-lines-b-steel-conducts = <b>Cables eléctricos:</b> el acero conduce. Apártense, también de cercas eléctricas, rieles y tormentas.
page-b-traffic-b-follow-the-local = <b>Tránsito:</b> sigan las normas del lugar. <b>Los dos oídos libres</b>, lleven lo que lleven.
page-b-tape-under-tension-b-whips = <b>La cinta tensa</b> azota. Guantes, gafas, la cara a un lado. Las plomadas tienen punta.
page-b-recording-b-sound-of-calls = <b>Grabación:</b> se guarda el sonido de lo que se dice. Cuadrilla y presentes deben consentir, como pida la ley.
page-b-local-safety-rules-and-licensed = <b>Primero van las normas de seguridad del lugar y el ejercicio con licencia.</b>
page-whole-foot-15 = { $unit ->
    [metre] metro entero, 15
   *[foot] pie entero, 15
  }
page-hundredths-42 = centésimas, .42
page-below-ten-05 = menos de diez, .05
page-all-in-one-15-42 = todo junto, 15.42
page-the-whole-tape = la cinta entera
page-one-microphone = un solo micrófono
page-a-note-1-25 = una nota, 1+25
page-or-first = { $head } o { $rear } delante
page-never-one-digit = { $forms }; nunca una sola cifra
