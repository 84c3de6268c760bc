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

finding-one-foot = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo un pie de diferencia: se sumó un pie donde la cinta resta, o se olvidó el pie sujeto
    .remedy = miren qué marca de pie se sujeta y midan de nuevo
finding-one-metre = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo un metro de diferencia: se sumó un metro donde la cinta resta, o se olvidó el metro sujeto
    .remedy = miren qué marca de metro se sujeta y midan de nuevo
finding-ten-feet = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo diez pies de diferencia: se leyó mal una marca de diez pies
    .remedy = lean las decenas en la marca y midan de nuevo
finding-ten-metres = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo diez metros de diferencia: se leyó mal una marca de diez metros
    .remedy = lean las decenas en la marca y midan de nuevo
finding-tape-length = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo una cinta de diferencia: un tramo olvidado o contado dos veces
    .remedy = cuenten los tramos y midan de nuevo
finding-tape-complement = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: las dos suman la cinta entera: una se leyó desde el otro extremo
    .remedy = miren hacia dónde crecen los números y midan de nuevo
finding-foot-complement = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: las centésimas suman un pie: una se leyó desde el lado equivocado de la marca
    .remedy = lean las centésimas desde el lado del cero y midan de nuevo
finding-metre-complement = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: las centésimas suman un metro: una se leyó desde el lado equivocado de la marca
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

## Por qué un tramo queda como se leyó.
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

## Qué está mal en un trabajo.

fault-gap = falta un asiento: se esperaba el { $entry } y está el { $found }
fault-changed = el asiento { $entry } se cambió después de escrito: su huella no corresponde
fault-chain = cadena rota: el asiento { $entry } no sigue a lo que está antes
fault-version = el asiento { $entry } tiene la versión { $version }, que este programa no sabe leer
fault-body = el contenido del asiento { $entry } no se puede leer
fault-end-missing = faltan al final asientos que se escribieron: del { $first } al { $last }
fault-other-end = el asiento { $entry } no es el que se escribió
fault-tables = se cambiaron las tablas o lo que impide reescribirlas
fault-malformed = la base de datos está dañada ({ $reason })
fault-malformed-near = la base de datos está dañada cerca del asiento { $entry } ({ $reason })
fault-column = el asiento { $entry } se cambió: su columna { $column } es de otro tipo
fault-unit = el asiento { $entry } empieza una línea en otra unidad que su cinta { $tape }
fault-tape-again = el asiento { $entry } pone otra vez una cinta sin sustituir nada
fault-replaces = el asiento { $entry } sustituye al { $replaces }, que no es el certificado vigente de la cinta { $tape }
fault-signs-other = el asiento { $entry } firma otro estado que el anterior
fault-does-not-follow = el asiento { $entry } ({ $kind }) no se deduce de las lecturas
fault-missing-before = antes del asiento { $entry } falta uno ({ $kind })
fault-kind = el asiento { $entry } es de una clase que este calllog no conoce ({ $kind })
fault-clip-outside = el sonido { $clip } del asiento { $entry } está fuera del trabajo
fault-clip-missing = el sonido { $clip } del asiento { $entry } falta o no se puede leer ({ $reason })
fault-clip-changed = el sonido { $clip } del asiento { $entry } se cambió
fault-other = { $reason }

## Palabras de la cuadrilla.

crew-role = { $role ->
    [head] delantero
    [rear] trasero
    [crew] cuadrilla
    [unsaid] cuadrilla
   *[other] { $role }
  }
crew-condition = { $name ->
    [temperature] temperatura
    [tension] tensión
    [spans] apoyos
    [position] altura
    [rise] desnivel
    [hold] sujeto en
    [tape] cinta
    [line] línea
   *[other] { $name }
  }
crew-sign = { $sign ->
    [plus] más
    [minus] menos
    [star] asterisco
   *[slash] barra
  }
crew-unit = { $number ->
    [one] { $symbol ->
        [ft] pie
        [m] metro
        [lb] libra
        [n] newton
        [s] segundo
       *[deg] grado
      }
   *[more] { $symbol ->
        [ft] pies
        [m] metros
        [lb] libras
        [n] newtons
        [s] segundos
       *[deg] grados
      }
  }

## Lo que sigue a una lectura: resultados.

told-booked = tramo { $pull }, { $booking ->
    [first] queda la primera,{" "}
    [check] queda la segunda,{" "}
    [unchecked] sin comprobar,{" "}
   *[agreed] {""}
  }{ $length }{ $half ->
    [0] {""}
   *[1] {" "}y media
  }
told-stop = alto. tramo { $pull }. { $finding }. { $remedy }
told-held = en espera. el tramo { $pull } está pendiente
told-open-again = el tramo { $pull } está abierto otra vez
told-scratched = tachado { $old }
told-scratched-that = tachado eso
told-replaced = { $new }, no { $old }
told-condition = { $name } { $sign ->
    [minus] menos{" "}
   *[plus] {""}
  }{ $amount }
# Lo que una voz lenta prepara de antemano, con coma entre uno y otro.
told-often = alto, tramo, tachado, sin comprobar, queda la primera

## Cintas, líneas y comentarios.

not-here = aquí no hay { $what ->
    [tape] cinta
   *[line] línea
  } número { $number }
tape-changed = cinta número { $number }, { $name }
line-changed = línea número { $number }, { $begins } a { $ends }
no-sound-for-remark = en este trabajo no se guarda sonido, así que no puede haber comentarios
remark-not-kept = el comentario no se guardó

## Aparatos, como se oyen.

device-microphone-lost = micrófono perdido
device-microphone-back = el micrófono volvió
device-too-loud = demasiado fuerte
device-too-faint = demasiado bajo, acérquese al micrófono
device-too-noisy = demasiado ruido
device-disk-slow = el disco es lento, espere
device-disk-back = todas las lecturas están en el disco
device-nothing-heard = alto. ya no se oye nada
device-stop-unsaved = alto. { $calls ->
    [0] el disco no acepta nada
    [one] una lectura no está en el disco
   *[other] { $count } lecturas no están en el disco
  }
device-no-sound-kept = no se guarda sonido
device-keypad = { $link ->
    [lost] teclado perdido
   *[returned] el teclado volvió
  }
device-trouble = { $trouble ->
    [clipping] está saturado: se cortan las partes más fuertes
    [loud] está demasiado fuerte, o demasiado cerca de la boca
    [faint] está demasiado bajo, o demasiado lejos de la boca
    [noisy] oye mucho ruido además de la voz
    [silent] no da ningún sonido
   *[offset] tiene un desplazamiento constante, y corta por un lado lo que es fuerte
  }

## Aparatos, como los muestra la pantalla.

device-trouble-next = { $trouble ->
    [clipping] baje la ganancia, o llévelo más lejos de la boca
    [loud] baje la ganancia, o llévelo a un palmo
    [faint] suba la ganancia, o llévelo más cerca
    [noisy] protéjalo del viento, llévelo más cerca, o teclee las lecturas
    [silent] enciéndalo, quite el silencio y revise el cable
   *[offset] use otra entrada u otro micrófono
  }
device-troubled = { $name }: { $trouble }; { $next }
device-microphone-lost-by-name = micrófono { $name } perdido: { $reason }; se está buscando
device-microphone-back-by-name = el micrófono { $name } volvió después de { $seconds } s
device-sound-lost = se perdió sonido de { $name }
device-keypad-by-name = { $link ->
    [lost] teclado { $name } perdido
   *[returned] el teclado { $name } volvió
  }
device-disk-slow-by = el disco es lento: { $seconds } s para escribir una vez
device-disk-takes-nothing = el disco no acepta nada: { $reason }
device-disk-safe = todo está en el disco
device-unsaved = { $calls ->
    [0] no se puede escribir nada en el disco
    [one] 1 lectura no está en el disco
   *[other] { $calls } lecturas no están en el disco
  }
device-unsaved-next = detenga el trabajo; vuelva a poner el disco, o haga sitio en él
device-unsaved-calls = Estas lecturas no están en el disco:
clock-forward = el reloj del ordenador se adelantó { DURATION($seconds) }; las horas de antes y después no se comparan
clock-back = el reloj del ordenador se atrasó { DURATION($seconds) }; las horas de antes y después no se comparan
clock-before-last-entry = el reloj del ordenador va { DURATION($seconds) } por detrás de la última entrada del trabajo; ¿está en hora?
device-phone-paired = teléfono { $name } emparejado
device-phone-revoked = teléfono { $name } dado de baja
device-page-lost = se perdió la página del jefe; vuelve a empezar
device-page-unencrypted = la página del jefe va por esta red sin cifrar
device-page-code-guessed = alguien intenta adivinar el código de la página del jefe
device-gone-on-with = se sigue: { $status }; el trabajo tiene { $calls ->
    [one] 1 lectura
   *[other] { $calls } lecturas
  }

## Teclas: por qué no se toma lo tecleado.

key-no-entry = { $typed } no es una entrada; tecléelo otra vez
key-none-of-keypad = una tecla que no es del teclado numérico; ¿está puesto Bloq Num? tecléelo otra vez
key-nothing-typed = no hay nada tecleado; menos tacha la última lectura
key-point-alone = un punto solo no es un número
key-one-digit = { $typed } puede ser { $whole }.0{ $digit } o { $whole }.{ $digit }0; teclee las dos cifras
key-many-digits = { $typed } tiene { $digits } cifras después del punto; teclee dos
key-no-hundredths = { $unit ->
    [metre] { $typed } no son centésimas; teclee dos cifras, o { $whole }. para un metro
   *[foot] { $typed } no son centésimas; teclee dos cifras, o { $whole }. para un pie
  }
key-no-point = { $unit ->
    [metre] { $typed } no tiene punto; teclee metros, punto y las dos cifras
   *[foot] { $typed } no tiene punto; teclee pies, punto y las dos cifras
  }
key-beyond-tape = { $unit ->
    [metre] { $said } queda fuera de esta cinta de { $tape } m; teclee metros, punto y las dos cifras
   *[foot] { $said } queda fuera de esta cinta de { $tape } ft; teclee pies, punto y las dos cifras
  }
key-zero-first = { $unit ->
    [metre] { $typed } empieza con cero; teclee .{ $part } para centésimas, { $whole } para un metro
   *[foot] { $typed } empieza con cero; teclee .{ $part } para centésimas, { $whole } para un pie
  }
key-states-nothing = { $code }* no indica nada; 1* temperatura, 2* tensión, 3* apoyos, 4* altura, 5* desnivel, 6* sujeto en, 7* cinta, 8* línea
key-number-needed = { $typed } necesita un número: { $name } { $range }
key-whole-number = { $typed } tiene punto; { $name } se teclea en números enteros
key-both-digits = { $typed }: teclee las dos cifras después del punto
key-does-not-go = { $name } { $amount } no es posible; { $range }
key-range = de { $least } a { $greatest }{ $symbol ->
    [degF] {" "}°F
    [degC] {" "}°C
    [lb] {" "}lb
    [N] {" "}N
    [ft] {" "}ft
    [m] {" "}m
   *[none] {""}
  }
key-means-nothing = { $typed } no significa nada; 1/ queda la primera, 2/ queda la segunda, 0/ medir de nuevo, 3/ siguiente tramo, 9/ línea terminada
key-no-note = { $typed } no es una nota; teclee como 1+25/18.4 a la derecha, 1+25-18.4 a la izquierda

## Teclas: qué hace cada una.

keys-part = { $unit ->
    [metre] el metro o las centésimas, lo que le toque decir
   *[foot] el pie o las centésimas, lo que le toque decir
  }
keys-whole = { $unit ->
    [metre] un metro entero, se espere lo que se espere
   *[foot] un pie entero, se espere lo que se espere
  }
keys-hundredths = centésimas, se espere lo que se espere; siempre las dos cifras: .05, .50
keys-reading = una lectura completa
keys-repeat = repetir
keys-scratch = tachar la última lectura; si hay algo tecleado: borrarlo
keys-clear = borrar la última tecla
keys-switch = cambiar extremos
keys-first = queda la primera
keys-check = queda la segunda
keys-again = medir de nuevo
keys-next = siguiente tramo
keys-finish = línea terminada
keys-temperature = temperatura; 1*-5 bajo cero
keys-tension = tensión
keys-spans = apoyo: 0 en todo el largo, 1 solo en los extremos, o número de vanos iguales
keys-position = sujeta a la altura de: 0 suelo, 1 rodilla, 2 cintura, 3 pecho
keys-rise = desnivel entre los extremos; 5*0 a nivel
keys-hold = { $unit ->
    [metre] marca de metro que sujeta el otro extremo
   *[foot] marca de pie que sujeta el otro extremo
  }
keys-tape = otra cinta, por su número
keys-line = otra línea, por su número
keys-remark = un comentario, guardado como sonido
keys-note-right = { $unit ->
    [metre] una nota: en la estación 1+25, a la derecha 18.4 m
   *[foot] una nota: en la estación 1+25, a la derecha 18.4 ft
  }
keys-note-left = { $unit ->
    [metre] una nota: en la estación 1+25, a la izquierda 18.4 m
   *[foot] una nota: en la estación 1+25, a la izquierda 18.4 ft
  }

## La pantalla; los rótulos y la señal tienen ocho letras como mucho.

screen-label-tape = cinta
screen-label-pull = tramo
screen-label-next = sigue
screen-label-or = o
screen-label-do = hagan
screen-label-earlier = antes
screen-label-phones = móviles
screen-label-typed = tecleado
screen-label-note = ! aviso
screen-sign = { $sign ->
    [AGREES] CUADRA
    [BOOKED] HECHO
    [STOP] ALTO
    [ASKED] REPITA
   *[waits] {""}
  }
screen-top = { $line }   TRAMO { $pull }
screen-total = { $unit ->
    [metre] anotados { $pulls }, leídos { $length } m
   *[foot] anotados { $pulls }, leídos { $length } ft
  }
screen-tape = { $tape }, { $length } { $unit ->
    [metre] m
   *[foot] ft
  }, { $style ->
    [add] suma
    [cut] resta
    [inset] cero metido
   *[full] completa
  }
screen-measured = primera { $take }   segunda { $check }{ $again ->
    [0] {""}
   *[other] {"   "}tachado { $struck }
  }
screen-verdict = { $verdict }{ $held ->
    [0] {""}
    [one] {" "}({ $held } lectura en espera)
   *[other] {" "}({ $held } lecturas en espera)
  }
screen-noise = ruido { $level } dB
screen-typed = tecleado
screen-standing = { $standing ->
    [taken] tomada
    [asked] se repite
    [held] en espera
    [struck] tachado
   *[talk] charla
  }
screen-remark = comentario
screen-remark-written = comentario: { $text }
screen-begun = { $line }, tramo { $pull }; sigue: { $expected }
screen-decision = una decisión del jefe
screen-decision-by-command = una decisión: calllog decide TRABAJO { $pull } first|check|again
screen-line-finished = la línea está terminada: empiecen la siguiente
screen-switch = los dos: cambien de extremo
screen-switch-or-next = los dos: cambien de extremo, o siguiente tramo
screen-call-reading = la lectura de la { $measurement ->
    [take] primera
   *[check] segunda
  }
screen-call-part = { $role ->
    [head] delantero:{" "}
    [rear] trasero:{" "}
   *[unsaid] {""}
  }{ $part ->
    [whole] { $unit ->
        [metre] el metro entero
       *[foot] el pie entero
      }
   *[fraction] las centésimas
  } de la { $measurement ->
    [take] primera
   *[check] segunda
  }
screen-call-parts = { $whole_by ->
    [rear] trasero:{" "}
    [head] delantero:{" "}
   *[unsaid] {""}
  }{ $unit ->
    [metre] el metro entero
   *[foot] el pie entero
  }{ $whole_by ->
    [rear] , delantero: las centésimas,
    [head] , trasero: las centésimas,
   *[unsaid] {" "}y las centésimas
  } de la { $measurement ->
    [take] primera
   *[check] segunda
  }
screen-read-and-held = { HUNDREDTHS($reading) } - { HUNDREDTHS($held) } sujeto = { HUNDREDTHS($length) }
screen-keeps = queda { HUNDREDTHS($length) }
screen-strikes = tacha el último número{ $opened ->
    [0] {""}
   *[other] {" "}y abre otra vez el tramo { $opened }
  }
screen-begins-check = empieza la comprobación
screen-measures-again = mide de nuevo este tramo
screen-books = anota el tramo sin comprobar
screen-books-and-closes = anota el tramo sin comprobar y cierra la línea
screen-closes = cierra la línea
screen-question = { $role ->
    [head] delantero: { $question }
    [rear] trasero: { $question }
   *[unsaid] cuadrilla: { $question }
  }
screen-booked = tramo { $pull }: { $length } { $unit ->
    [metre] m
   *[foot] ft
  }{ $checked ->
    [yes] , diferencia { HUNDREDTHS($difference) }
   *[no] {""}
  }{ $booking ->
    [unchecked] , sin comprobar
    [first] , queda la primera por { $by }
    [check] , queda la segunda por { $by }
   *[agreed] {""}
  }

## Renglones de un registro.

log-conditions-stated = condiciones: { $conditions }
log-decided = tramo { $pull }: { $choice ->
    [first] queda la primera
    [check] queda la segunda
   *[again] medir de nuevo
  }, lo decidió { $by }
log-booked = tramo { $pull } anotado: { $length } { $unit ->
    [metre] m
   *[foot] ft
  } ({ $booking ->
    [first] queda la primera
    [check] queda la segunda
    [unchecked] sin comprobar
   *[agreed] cuadra
  })
log-finding = { $severity ->
    [stop] ALTO
   *[note] aviso
  } tramo { $pull }: { $finding }
log-struck = lectura { $call } tachada
log-held = lectura { $call } en espera: el tramo { $pull } está pendiente
log-opened-again = tramo { $pull } abierto otra vez
log-end = { $pulls ->
    [one] 1 tramo anotado
   *[other] { $pulls } tramos anotados
  }; { $status }.
log-decide-it = Decídalo: { $command }
log-misheard = que se oyó mal { $part ->
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
log-goes-on = La misma orden sigue desde aquí.
log-caution = Cuidado: aparten las cintas de acero de los cables eléctricos, atiendan al tránsito, dejen libres los oídos y no graben a nadie sin su consentimiento.
log-caution-and-no-voice = { $caution } No hay voz en español: solo tonos; indique una con --voice.

## Condiciones.

condition-temperature = temperatura { $degrees } { $unit ->
    [metre] °C
   *[foot] °F
  }
condition-temperature-unknown = temperatura ?
condition-tension = tensión { $force } { $unit ->
    [metre] N
   *[foot] lb
  }
condition-tension-unknown = tensión ?
condition-support = { $spans ->
    [0] apoyada en todo el largo
    [1] solo extremos
   *[other] { $spans } vanos iguales
  }
condition-support-unknown = apoyo ?
condition-rise = desnivel { $rise } { $unit ->
    [metre] m
   *[foot] ft
  }
condition-level = a nivel
condition-rise-unknown = desnivel ?
condition-position = { $position ->
    [ground] en el suelo
    [knee] a la rodilla
    [waist] a la cintura
   *[chest] al pecho
  }
condition-hold = sujeto en { $mark } { $unit ->
    [metre] m
   *[foot] ft
  }

## The field page.

page-the-day = El día
page-job = Trabajo
page-day = Día
page-not-stated = no consta
page-all-lengths-in = Longitudes en
page-metres = metros
page-mass = Masa
page-us-survey-feet = { $unit ->
    [metre] metros topográficos de EE. UU.
   *[foot] pies topográficos de EE. UU.
  }
page-international-feet = { $unit ->
    [metre] metros internacionales
   *[foot] pies internacionales
  }
page-pulls = Tramos
page-length-read = Longitud leída
page-horizontal-length = Longitud horizontal
page-standard-uncertainty-k-1 = Incertidumbre típica (k = 1)
page-not-known = no se sabe
page-tolerance-of-take-and-check = Tolerancia entre primera y segunda
page-check-required = comprobación obligatoria
page-check-wanted = comprobación deseada
page-check-none = sin comprobación
page-books-first = se anota la primera
page-books-mean = se anota la media
page-state-of-the-job = Estado del trabajo
page-pages-of-this-job = Páginas de este trabajo
page-lines = Líneas
page-each-run-of-a-line-lengths = { $unit ->
    [metre] Cada recorrido de una línea. Longitudes en metros; u es la incertidumbre típica (k = 1).
   *[foot] Cada recorrido de una línea. Longitudes en pies; u es la incertidumbre típica (k = 1).
  }
page-lines-of-the-day = Líneas del día
page-line = Línea
page-read = Leída
page-horizontal = Horizontal
page-state = Estado
page-finished = terminada
page-no-pull-has-been-booked = No se ha anotado ningún tramo.
page-field-notes = Libreta de campo
page-field-notes-of = Libreta de campo de { $line }
page-lengths-and-corrections-in-feet-a = { $unit ->
    [metre] Longitudes y correcciones en metros; una corrección se suma a la longitud leída. ? = no se sabe, así que no se corrige; * = suma sin lo que no se sabe. Lo tachado queda legible. A la izquierda de la raya doble las anotaciones, a la derecha comentarios y avisos.
   *[foot] Longitudes y correcciones en pies; una corrección se suma a la longitud leída. ? = no se sabe, así que no se corrige; * = suma sin lo que no se sabe. Lo tachado queda legible. A la izquierda de la raya doble las anotaciones, a la derecha comentarios y avisos.
  }
page-pull = Tramo
page-from = De
page-to = a
page-take = Primera
page-check = Segunda
page-conditions = Condiciones
page-corrections = Correcciones
page-running-total = Acumulado
page-station = estación
page-remarks-and-findings = Comentarios y avisos
page-standard = calibr.
page-temp = temp.
page-sag = catenaria
page-slope = pendiente
page-sum = suma
page-standardisation = calibración
page-no-check = sin segunda
page-none = ninguna
page-stop = Alto
page-note = Aviso
page-struck = Tachado
page-stands = vale
page-measured-again-or-overruled = medido de nuevo o desechado
page-the-other-was-kept = quedó la otra
page-call-was-struck = la lectura { $call } se tachó
page-call-was-struck-since-another-value = la lectura { $call } se tachó porque se tecleó otro valor
page-take-and-check-agree = primera y segunda cuadran
page-take-kept-decided-by = queda la primera, lo decidió { $who }
page-check-kept-decided-by = queda la segunda, lo decidió { $who }
page-booked = anotado
page-calls-of-pull = { $calls } lecturas del tramo { $pull }
page-with-their-sound = con su sonido
page-call = lectura { $number }
page-call-2 = Lectura { $number }
page-asked = se preguntó
page-remark-call = Comentario, lectura { $number }
page-remark-of-call = Comentario de la lectura { $number }
page-its-sound-is-not-here = su sonido no está aquí
page-what-this-line-lacks = Lo que falta en esta línea
page-the-crew-did-not-finish-this = la cuadrilla no terminó esta línea
page-not-checked-pull = sin comprobar: tramo { $pulls }
page-not-corrected-stands-as-it-was = sin corregir, vale como se leyó: tramo { $pulls }
page-no-correction-for-known-pull = no se sabe la corrección por { $kind }: tramo { $pulls }
page-no-pull-of-this-line-can = ningún tramo de esta línea se puede corregir: no se sabe su incertidumbre
page-not-in-the-uncertainty-pull = fuera de la incertidumbre: tramo { $pulls }
page-pull-of-was-begun-and-not = El tramo { $pull } de { $line } se empezó y no se anotó.
page-what-was-called = Lo que se dijo:
page-forward-against-back = Ida contra vuelta
page-horizontal-lengths-in-feet-difference-the = { $unit ->
    [metre] Longitudes horizontales en metros; diferencia: la segunda menos la primera. 1:N se redondea hacia abajo.
   *[foot] Longitudes horizontales en pies; diferencia: la segunda menos la primera. 1:N se redondea hacia abajo.
  }
page-runs-of-one-line = Recorridos de una línea
page-first = Primero
page-second = Segundo
page-difference = Diferencia
page-mean = Media
page-precision = Precisión
page-run-against-its-way-back-run = recorrido { $one } contra su vuelta, recorrido { $other }
page-run-against-its-way-back-run-2 = recorrido { $one } contra su vuelta, recorrido { $other }; no están los dos terminados
page-run-against-the-same-again-run = recorrido { $one } contra el mismo otra vez, recorrido { $other }
page-run-against-the-same-again-run-2 = recorrido { $one } contra el mismo otra vez, recorrido { $other }; no están los dos terminados
page-alike-to-the-last-figure = iguales hasta la última cifra
page-no-line-was-measured-a-second = Ninguna línea se midió dos veces, así que no hay ida contra vuelta.
page-this-line-was-not-measured-a = Esta línea no se midió dos veces, así que no hay ida contra vuelta.
page-station-and-offset-notes = Notas de estación y distancia al costado
page-offsets-square-off-the-line-feet = { $unit ->
    [metre] Distancias perpendiculares a la línea, en metros, mirando en el sentido en que se mide.
   *[foot] Distancias perpendiculares a la línea, en pies, mirando en el sentido en que se mide.
  }
page-station-2 = Estación
page-side = Lado
page-offset = Distancia
page-when = Cuándo
page-as-it-was-said = Como se dijo
page-none-2 = Ninguna.
page-remarks-on-on-a-pull-that = Comentarios sobre { $line }, en un tramo que no se anotó
page-who-decided-what-and-when = Quién decidió qué, y cuándo
page-from-the-journal-in-the-order = Del registro, en el orden en que se asentó. Lo que cuadra dentro de la tolerancia se anota por la regla de la línea y no aparece aquí.
page-decisions = Decisiones
page-what = Qué
page-who = Quién
page-entry = Asiento
page-the-whole-job = todo el trabajo
page-the-first-was-kept = quedó la primera
page-the-check-was-kept = quedó la segunda
page-the-pull-is-measured-again = el tramo se mide de nuevo
page-the-pull-was-opened-again-after = el tramo se abrió otra vez después de anotado
page-the-certificate-of-tape-in-entry = el certificado de la cinta { $tape } del asiento { $old } se sustituyó por el del asiento { $new }
page-the-certificate-of-tape-in-entry-2 = el certificado de la cinta { $tape } del asiento { $old } se sustituyó por el del asiento { $new }: { $why }
page-head-said = delantero, dicho
page-rear-said = trasero, dicho
page-the-crew-said = la cuadrilla, dicho
page-head-typed = delantero, tecleado
page-rear-typed = trasero, tecleado
page-the-crew-typed = la cuadrilla, tecleado
page-nobody-had-to-decide-anything-all = Nadie tuvo que decidir nada: todo se anotó por la regla de la línea.
page-nobody-had-to-decide-anything = Nadie tuvo que decidir nada.
page-signed-off = Firmado
page-changed-since-by-entries = Cambiado después por { $entries } asientos
page-by-on = por { $name } el { $date }
page-as-of-entry-hash = hasta el asiento { $entry }, huella
page-unchanged-since = sin cambios desde entonces
page-rescued-from-on = Rescatado de { $job } el { $time }:
page-entries-of-the-journal-were-carried = se salvaron { $entries } asientos del registro; consta que se perdieron { $lost } posteriores, y faltan { $sounds } sonidos.
page-lost-entries-that-can-still-be = Los asientos perdidos que aún se leen están en { $file }.
page-what-was-wrong = Qué estaba mal:
page-nobody-has-signed-this-job-off = Nadie ha firmado este trabajo.
page-uncertainty-and-what-makes-it = Incertidumbre y de dónde viene
page-standard-uncertainty-of-the-horizontal-length = Incertidumbre típica de la longitud horizontal (k = 1)
page-ft-from-what-differs-from-pull = { $unit ->
    [metre] { $random } m por lo que cambia de tramo en tramo, { $common } m por lo que es común a todos.
   *[foot] { $random } ft por lo que cambia de tramo en tramo, { $common } ft por lo que es común a todos.
  }
page-greatest-share-first-random-inputs-add = Primero la parte mayor. Lo aleatorio se suma en cuadrados a lo largo de la línea, lo común en proporción.
page-budget-of-the-uncertainty = Balance de la incertidumbre
page-kind = Clase
page-distribution = Distribución
page-u-of-the-input = u de la entrada
page-sensitivity-ft-per-unit = { $unit ->
    [metre] Sensibilidad, m por unidad
   *[foot] Sensibilidad, ft por unidad
  }
page-contribution-ft = { $unit ->
    [metre] Aporte, m
   *[foot] Aporte, ft
  }
page-share = Parte
page-source = Fuente
page-no-pull-of-this-line-can-2 = Ningún tramo de esta línea se puede corregir, así que no se sabe su incertidumbre.
page-the-crew-checked-pulls-repeat-to = { $unit ->
    [metre] La cuadrilla: { $pairs } tramos comprobados se repiten con { $one } m en una medida (95 %: { $low } a { $high } m).
   *[foot] La cuadrilla: { $pairs } tramos comprobados se repiten con { $one } ft en una medida (95 %: { $low } a { $high } ft).
  }
page-no-pull-was-measured-twice-and = Ningún tramo se midió dos veces y cuadró, así que no se sabe la repetibilidad de la cuadrilla.
page-plots = Gráficas
page-tape-certificates = Certificados de las cintas
page-certificate-of-tape = Certificado de la cinta { $tape }
page-tape = Cinta { $tape }
page-entry-of-the-certificate = Dato del certificado
page-cautions = Advertencias
page-boundaries-are-decided-by-licensed-practice = Los linderos los decide un profesional con licencia según la ley local.
page-this-page-says-what-was-measured = Esta página dice qué se midió, no por dónde pasa un lindero.
page-what-is-not-known-is-not = Lo que no se sabe no se corrige, y queda señalado. Las correcciones salen de las fórmulas y los certificados citados; la oficina las comprueba antes de confiar en ellas.
page-steel-tapes-conduct-keep-clear-of = Las cintas de acero conducen la electricidad: apártenlas de los cables. Atiendan al tránsito, con los dos oídos libres. No graben a nadie sin su consentimiento; esta página puede traer el sonido de las lecturas.
page-software = Programa
page-calls-taken-by = Lecturas tomadas por
page-keys = teclas
page-written = Escrita
page-hash-of-the-journal-s-last = Huella del último asiento del registro
page-computed-from-the-journal-alone-the = Calculada solo a partir del registro; la orden «calllog verify» lo prueba con esta huella. Las horas están en UTC; las de una grabación dicen cuándo se tomó.

## A certificate on the page.

page-entry-in-force = Asiento { $entry }, vigente
page-entry-in-force-by = Asiento { $entry }, vigente, por { $by }
page-entry-in-force-by-2 = Asiento { $entry }, vigente, por { $by }: { $why }
page-entry-replaced = Asiento { $entry }, sustituido
page-entry-replaced-by = Asiento { $entry }, sustituido, por { $by }
page-entry-replaced-by-2 = Asiento { $entry }, sustituido, por { $by }: { $why }
page-certificate = Certificado
page-date = Fecha
page-laboratory = Laboratorio
page-holds = Vale
page-from-2 = desde { $date }
page-until = hasta { $date }
page-from-until = desde { $begin } hasta { $end }
page-graduation = Graduación
page-nominal-length = Longitud nominal
page-held-mark = Marca sujeta
page-foot = Pie
page-international-foot = { $unit ->
    [metre] metro internacional
   *[foot] pie internacional
  }
page-us-survey-foot = { $unit ->
    [metre] metro topográfico de EE. UU.
   *[foot] pie topográfico de EE. UU.
  }
page-certified-length = Longitud certificada
page-its-standard-uncertainty = Su incertidumbre típica
page-at-a-temperature-of = A una temperatura de
page-under-a-tension-of = Con una tensión de
page-supported = Apoyada
page-at-the-ends-only = solo en los extremos
page-at-equal-spans = en { $spans } vanos iguales
page-weight = Peso
page-cross-section = Sección
page-modulus-of-elasticity = Módulo de elasticidad
page-expansion = Dilatación
page-per-f = { $unit ->
    [metre] { $alpha } por °C
   *[foot] { $alpha } por °F
  }

## What makes the uncertainty; sources are cited as they are.

page-common-practice-no-published-source = práctica común, sin fuente publicada
page-half-of-the-least-count-0 = { $unit ->
    [metre] la mitad de la menor división, 0.01 m (GUM F.2.2.1)
   *[foot] la mitad de la menor división, 0.01 ft (GUM F.2.2.1)
  }
page-random = aleatoria
page-common = común
page-one-way = de un solo lado
page-normal = normal
page-rectangular = rectangular
page-triangular = triangular
page-arcsine = arcoseno
page-reading = lectura
page-marking = marcado
page-certified-length-tape = longitud certificada, cinta { $tape }
page-stiffness-ae-tape = rigidez AE, cinta { $tape }
page-weight-per-foot-tape = { $unit ->
    [metre] peso por metro, cinta { $tape }
   *[foot] peso por pie, cinta { $tape }
  }
page-expansion-of-steel = dilatación del acero
page-thermometer = termómetro
page-temperature-of-the-tape = temperatura de la cinta
page-temperature-not-known = temperatura no conocida
page-plumbing-both-ends = aplomado de los dos extremos, { $height }
page-sag-not-known = catenaria no conocida
page-slope-not-known = pendiente no conocida
page-off-line = fuera de línea
page-tension-not-known = tensión no conocida
page-tension-habit-or-balance = tensión, costumbre o balanza
page-tension-from-pull-to-pull = tensión de tramo en tramo
page-tension-from-pull-to-pull-times = tensión de tramo en tramo por costumbre
page-mean-2 = { $component }, media
page-spread = { $component }, dispersión
page-the-standard-uncertainty-of-ft-is = { $unit ->
    [metre] la incertidumbre típica de { $length } m es { $u } m
   *[foot] la incertidumbre típica de { $length } ft es { $u } ft
  }
page-adds-the-most-of-the-variance = { $component } ({ $kind }) es lo que más aporta, { $share } de la varianza
page-would-bring-it-from-to-ft = { $unit ->
    [metre] { $improvement } la llevaría de { $u } a { $better } m
   *[foot] { $improvement } la llevaría de { $u } a { $better } ft
  }
page-nothing-that-is-listed-would-help = nada de lo que aparece ayudaría mucho
page-not-in-it-since-they-cannot = fuera de ella, porque no se pueden corregir: tramos { $pulls }
page-a-spring-balance-in-place-of = un dinamómetro en lugar de tensar al tacto
page-a-thermometer-clipped-to-the-tape = un termómetro sujeto a la cinta en lugar de uno al aire
page-a-fresh-laboratory-certificate-in-place = un certificado de laboratorio nuevo en lugar del actual
page-the-ends-held-at-knee-height = los extremos a la rodilla o más abajo en lugar de más altos
page-tripods-with-fine-marks-in-place = trípodes con marcas finas en lugar de plomadas y fichas
page-rises-measured-to-a-foot-in = desniveles medidos al uno por mil en lugar de nivelar a ojo
page-lining-in-by-instrument-in-place = alinear con instrumento en lugar de a ojo
page-the-tape-weighed-and-its-cross = pesar la cinta y medir su sección en lugar de usar cifras habituales
page-the-temperature-stated-for-every-pull = decir la temperatura en cada tramo
page-tension-and-support-stated-for-every = decir tensión y apoyo en cada tramo
page-the-rise-or-level-stated-for = decir el desnivel, o a nivel, en cada tramo

## Plots.

page-the-plots-are-left-out-install = Las gráficas no están: instálelas con: pip install 'calllog[plots]'
page-check-differences-through-the-day = Diferencias de la comprobación a lo largo del día
page-no-pull-was-measured-twice = Ningún tramo se midió dos veces.
page-of-pulls-have-a-check-greatest = { $unit ->
    [metre] { $checked } de { $pulls } tramos tienen comprobación. Diferencia mayor { $greatest } m, tolerancia { $tolerance } m; fuera de ella: { $beyond }.
   *[foot] { $checked } de { $pulls } tramos tienen comprobación. Diferencia mayor { $greatest } ft, tolerancia { $tolerance } ft; fuera de ella: { $beyond }.
  }
page-tolerance = tolerancia
page-beyond-it-decided-value-written = fuera de ella, decidida (con su valor)
page-check-minus-take-ft = { $unit ->
    [metre] segunda menos primera, m
   *[foot] segunda menos primera, ft
  }
page-and-more = y más
page-number-of-the-pull = número del tramo
page-corrections-of-each-pull-stacked = Correcciones de cada tramo, apiladas
page-no-pull-was-booked = No se anotó ningún tramo.
page-sums-of-the-corrections-ft-a = { $unit ->
    [metre] Sumas de las correcciones: { $range } m por tramo. En { $lacking } de { $pulls } tramos no se sabe alguna corrección.
   *[foot] Sumas de las correcciones: { $range } ft por tramo. En { $lacking } de { $pulls } tramos no se sabe alguna corrección.
  }
page-correction-ft = { $unit ->
    [metre] corrección, m
   *[foot] corrección, ft
  }
page-temperature-and-what-it-does-to = { $unit ->
    [metre] La temperatura, y lo que hace a 100 m de cinta
   *[foot] La temperatura, y lo que hace a 100 ft de cinta
  }
page-no-temperature-was-stated = No consta ninguna temperatura.
page-temperature-stated-for-of-pulls-f = { $unit ->
    [metre] Consta la temperatura en { $stated } de { $pulls } tramos: { $range } °C; certificada a { $standards } °C.
   *[foot] Consta la temperatura en { $stated } de { $pulls } tramos: { $range } °F; certificada a { $standards } °F.
  }
page-100-ft-of-tape-changed-by = { $unit ->
    [metre] 100 m de cinta cambiaron { $range } m respecto a su certificado.
   *[foot] 100 ft de cinta cambiaron { $range } ft respecto a su certificado.
  }
page-certified = certificada
page-temperature-f = { $unit ->
    [metre] temperatura, °C
   *[foot] temperatura, °F
  }
page-correction = corrección
page-ft-per-100-ft = { $unit ->
    [metre] m por 100 m
   *[foot] ft por 100 ft
  }
page-how-sure-the-recogniser-was-of = Con qué seguridad se oyó cada lectura, y qué se preguntó
page-no-call-was-heard-all-were = No se oyó ninguna lectura; todas se teclearon.
page-calls-were-heard-led-to-a = Se oyeron { $calls } lecturas, { $asked } llevaron a una pregunta.
page-least-certainty-of-a-call-taken = Seguridad menor de una lectura tomada: { $least } %.
page-asked-about = preguntada
page-number-of-the-call = número de la lectura
page-certainty = seguridad, %

## La tarjeta impresa.

card-title = Protocolo de voz para cuadrillas de cinta
card-pull = Un tramo
card-loop = Decir y confirmar
card-numbers = Números
card-commands = Órdenes
card-conditions = Condiciones, desde ese momento
card-tones = Tonos
card-keypad = Teclado, en cualquier momento ({ $enter } es Intro)
card-footer = La conversación no se toma: { $talk } y parecidos. calllog { $version }, gramática { $grammar }.
card-does-switch = cambiar de extremo; sigue la segunda
card-does-scratch = tacha el último número
card-does-again = el tramo desde el principio; quedan las dos
card-does-first = en un alto: vale la primera
card-does-check = en un alto: vale la segunda
card-does-next = sigue sin comprobar, donde no hace falta
card-does-finish = cierra la línea
card-does-remark = lo siguiente se guarda como sonido
card-states-temperature = { $unit ->
    [metre] de la cinta, grados Celsius
   *[foot] de la cinta, grados Fahrenheit
  }
card-states-tension = { $unit ->
    [metre] newtons
   *[foot] libras
  }
card-states-spans = cómo está apoyada la cinta
card-states-position = a qué altura se sujeta
card-states-rise = { $unit ->
    [metre] desnivel entre los extremos, metros
   *[foot] desnivel entre los extremos, pies
  }
card-states-hold = { $unit ->
    [metre] marca de metro en el otro extremo
   *[foot] marca de pie en el otro extremo
  }
card-states-tape = otra cinta
card-states-line = otra línea
card-slot-number = número
card-slot-whole = { $unit ->
    [metre] metro
   *[foot] pie
  }
card-slot-reading = { $unit ->
    [metre] metros punto centésimas
   *[foot] pies punto centésimas
  }
card-tone-heard = un pitido corto
card-tone-heard-means = oído: está anotado
card-tone-agrees = dos rápidos, subiendo
card-tone-agrees-means = primera y segunda cuadran: anotado
card-tone-question = dos, el segundo largo
card-tone-question-means = una pregunta: repítalo
card-tone-stop = tres largos, graves
card-tone-stop-means = ALTO: primera y segunda no cuadran
card-tone-tick = un clic
card-tone-tick-means = se tomó una tecla
card-tone-error = uno muy largo, grave
card-tone-error-means = esa tecla no dice nada aquí
card-tone-cleared = dos, bajando
card-tone-cleared-means = se borró lo tecleado
card-tone-warn = cuatro rápidos, muy agudos
card-tone-warn-means = miren la pantalla: aparato o ruido
card-pull-take = { $unit ->
    [metre] <b>Primera.</b> Un extremo dice el metro entero, el otro las centésimas; o uno lo dice todo.
   *[foot] <b>Primera.</b> Un extremo dice el pie entero, el otro las centésimas; o uno lo dice todo.
  }
card-pull-check = { $switch }, cambien de extremo y digan los dos otra vez: es la <b>segunda</b>.
card-pull-booked = Dentro de la tolerancia se anota; lo siguiente que se diga empieza el tramo siguiente.
card-pull-cut = Una cinta que <b>resta</b>: digan por separado la marca sujeta y las centésimas, nunca resten.
card-loop-call = <b>Diga</b> y espere el tono o la voz: mientras habla, no oye.
card-loop-right = <b>¿Bien?</b> No diga nada: <b>quien calla otorga.</b>
card-loop-wrong = <b>¿Mal?</b> Diga { $scratch }, y dígalo otra vez.
card-loop-asked = <b>¿Pregunta?</b> Repítalo, las dos cifras, una por una.
card-loop-stop = <b>¿ALTO?</b> Nadie se mueve. Miren las marcas, digan { $again }, o decide el jefe.
card-caution-power = <b>Cables eléctricos:</b> el acero conduce. Apártense, también de cercas eléctricas, rieles y tormentas.
card-caution-traffic = <b>Tránsito:</b> sigan las normas del lugar. <b>Los dos oídos libres</b>, lleven lo que lleven.
card-caution-tension = <b>La cinta tensa</b> azota. Guantes, gafas, la cara a un lado. Las plomadas tienen punta.
card-caution-recording = <b>Grabación:</b> se guarda el sonido de lo que se dice. Cuadrilla y presentes deben consentir, como pida la ley.
card-caution-rules = <b>Primero van las normas de seguridad del lugar y el ejercicio con licencia.</b>
card-number-whole = { $unit ->
    [metre] metro entero, 15
   *[foot] pie entero, 15
  }
card-number-hundredths = centésimas, .42
card-number-below-ten = menos de diez, .05
card-number-below-ten-forms = { $forms }; nunca una sola cifra
card-number-reading = todo junto, 15.42
card-number-full-tape = la cinta entera
card-number-one-microphone = un solo micrófono
card-number-one-microphone-forms = { $head } o { $rear } delante
card-number-note = una nota, 1+25
