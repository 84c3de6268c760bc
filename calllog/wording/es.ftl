### Lo que calllog dice y escribe, en español: un mensaje para cada código.
###
### Los datos llegan como variables. Las lecturas son centésimas enteras y las escriben HUNDREDTHS
### (15.42), WHOLE (15), PART (.42), SAID (42), KILOMETRES (1+234.50) y STATION (3+12.40); DURATION escribe segundos (2 h 1 min).
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
typed-before = { $role ->
    [head] delantero,{" "}
    [rear] trasero,{" "}
   *[unsaid] {""}
  }{ $part ->
    [whole] { WHOLE($value) } se tecleó antes para este tramo; repita o teclee { $unit ->
        [metre] el metro entero
       *[foot] el pie entero
      }
   *[fraction] { SAID($value) } se tecleó antes para este tramo; repita o teclee las centésimas
  }
states-no-condition = eso no indica ninguna condición
less-than-nothing = { WHOLE($whole) } menos { SAID($fraction) } centésimas es menos que nada
both-parts-again = { $why }; repitan las dos partes
rise-in-force-beyond-tape = { $unit ->
    [metre] el desnivel de { $rise } m es mayor que la longitud de la cinta; digan el desnivel y repitan las dos partes
   *[foot] el desnivel de { $rise } ft es mayor que la longitud de la cinta; digan el desnivel y repitan las dos partes
  }
rise-beyond-tape = { $unit ->
    [metre] un desnivel de { $rise } m es mayor que la longitud de la cinta
   *[foot] un desnivel de { $rise } ft es mayor que la longitud de la cinta
  }
same-as-other-part = { $unit ->
    [metre] ¿{ SAID($value) } y { SAID($value) }? digan juntos el metro y las centésimas
   *[foot] ¿{ SAID($value) } y { SAID($value) }? digan juntos el pie y las centésimas
  }
one-digit = { $digit ->
    [0] { $said } no son dos cifras; diga las dos cifras
   *[other] { $said } puede ser .0{ $digit } o .{ $digit }0; diga las dos cifras
  }
three-digits-due = { $said } no son tres cifras; diga las tres
least-count-of-tape = { $said } no se puede leer en esta cinta; { $unit ->
    [metre] se lee al milímetro
   *[foot] se lee a 0.005 ft: la mitad se dice cinco
  }
again-or-hundredths = ¿otra vez { $value }, o { $value } centésimas? diga punto antes de las centésimas
    .short = diga punto antes de las centésimas
who-holds-whole = { $about ->
    [order] ¿es { HUNDREDTHS($first) } o { HUNDREDTHS($other) }? digan la lectura entera
   *[holder] ¿quién sujeta el { $unit ->
        [metre] metro
       *[foot] pie
      }{ $other ->
        [-1] {""}
       *[other] : { $holder ->
            [head] delantero
            [rear] trasero
           *[other] { $holder }
          } para { HUNDREDTHS($first) }, { $other_holder ->
            [head] delantero
            [rear] trasero
           *[other] { $other_holder }
          } para { HUNDREDTHS($other) }
      }? digan { $unit ->
        [metre] tengo el metro
       *[foot] tengo el pie
      }, o la lectura entera
  }
    .short = { $about ->
        [order] ¿es { HUNDREDTHS($first) } o { HUNDREDTHS($other) }?
       *[holder] ¿quién sujeta el { $unit ->
            [metre] metro
           *[foot] pie
          }?
      }
    .how = { $about ->
        [order] digan la lectura entera
       *[holder] digan { $unit ->
            [metre] tengo el metro
           *[foot] tengo el pie
          }, o la lectura entera
      }
    .firmly = { $about ->
        [order] nada vale hasta que digan la lectura entera
       *[holder] nada vale hasta que digan { $unit ->
            [metre] tengo el metro
           *[foot] tengo el pie
          }, o la lectura entera
      }
nobody-holds-whole = aquí no se sabe quién dice qué; digan la lectura entera
holder-told-otherwise = ahora debe sujetarlo { $holder ->
    [head] el delantero
   *[rear] el trasero
  }, pues el otro lo sujetaba en la primera; cambien de extremo o midan de nuevo
take-held-otherwise = en la primera lo sujetaba { $holder ->
    [head] el delantero
   *[rear] el trasero
  }; si no es así, midan de nuevo; si es así, cambien antes de extremo
call-both-again = lo dicho no va con eso y queda tachado; digan otra vez las dos partes
nothing-held-here = { $unit ->
    [metre] en esta cinta no se sujeta nada en lugar del cero: diga la marca del metro y las centésimas
   *[foot] en esta cinta no se sujeta nada en lugar del cero: diga la marca del pie y las centésimas
  }
zero-not-held-here = el cero de esta cinta no se puede sujetar: diga qué marca se sujeta
say-read-and-held = en esta cinta se sujeta una marca: diga lo que se lee y lo que se sujeta
tape-cuts = { $unit ->
    [metre] esta cinta resta: diga por separado la marca del metro y las centésimas
   *[foot] esta cinta resta: diga por separado la marca del pie y las centésimas
  }
say-style = { WHOLE($whole) }, { PART($fraction) }: diga cinta que resta o cinta que suma, o la lectura otra vez con resta o suma delante
    .short = ¿cinta que resta, o que suma?
say-one-reading = { $unit ->
    [metre] esta cinta se lee en un extremo: diga metros y centésimas de una vez
   *[foot] esta cinta se lee en un extremo: diga pies y centésimas de una vez
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
keyed-and-heard = { $part ->
    [whole] se tecleó { WHOLE($keyed) }, se dijo { WHOLE($heard) }
   *[fraction] se tecleó { PART($keyed) }, se dijo { PART($heard) }
  }; si lo tecleado está mal, táchenlo y repítanlo
stop-stands = el tramo { $pull } espera una decisión: "queda la primera", "queda la segunda" o "medir de nuevo"
line-finished = la línea está terminada
line-finished-no-call = la línea está terminada; diga la siguiente línea por su número
no-call-to-scratch = no hay nada que tachar
lone-word = oí { $said }; repítalo si es una lectura
    .short = { $said }; repítalo
again-or-next-pull = ¿{ $said } otra vez, o el tramo siguiente? repítalo si es el siguiente
    .short = ¿{ $said } otra vez, o el siguiente?
mended-or-next-pull = ¿{ $said } para el tramo anterior, o para el siguiente? tache eso y dígalo de nuevo, o repítalo si es el siguiente
    .short = ¿{ $said } para el anterior, o el siguiente?
struck-before = oí { $said } otra vez, y eso fue tachado; dígalo de otro modo, o tecléelo
    .short = { $said } fue tachado; dígalo de otro modo, o tecléelo
struck-figure = oí { $said } otra vez, y eso fue tachado; si es así, repítalo, o tecléelo
    .short = { $said } fue tachado; si es así, repítalo, o tecléelo
which-pull = { $about ->
    [next] el tramo { $pull } fue { HUNDREDTHS($before) }; ¿es el siguiente? digan siguiente tramo, o tache eso
   *[again] el tramo { $pull } fue { HUNDREDTHS($before) }; ¿{ HUNDREDTHS($reading) } es el mismo? digan la lectura entera, o tache eso
  }
    .short = { $about ->
        [next] ¿es el siguiente? digan siguiente tramo, o tache eso
       *[again] ¿es el tramo { $pull }? digan la lectura entera, o tache eso
      }
heard-on-both = lo oyeron los dos micrófonos; repítalo quien lo dijo
    .short = ¿de quién era? repítalo
check-needed = esta línea pide comprobación: primero cambien de extremo
before-switching = antes de cambiar: { $status }
before-moving-on = antes de seguir: { $status }
still-to-measure = el tramo { $pull } espera; medir de nuevo{ $command ->
    [finish] , o digan línea terminada otra vez
   *[next] {""}
  }
no-decision-awaited = el tramo { $pull } no espera ninguna decisión; { $status }
beyond-tape = { $unit ->
    [metre] { HUNDREDTHS($reading) } queda fuera de esta cinta de { $tape } m
   *[foot] { HUNDREDTHS($reading) } queda fuera de esta cinta de { $tape } ft
  }
words-beyond-tape = { $unit ->
    [metre] { $said } queda fuera de esta cinta de { $tape } m
   *[foot] { $said } queda fuera de esta cinta de { $tape } ft
  }
station-beyond-line = { $unit ->
    [metre] la estación { KILOMETRES($station) } está más allá de esta línea, medida hasta { KILOMETRES($taped) }
   *[foot] la estación { STATION($station) } está más allá de esta línea, medida hasta { STATION($taped) }
  }
no-call-made-out = no se entendió ninguna lectura
not-sure-of-style = no se oyó bien { $said }; repítalo, o teclee 8/ si la cinta suma, 7/ si resta
    .short = { $said }; repítalo
not-sure-of = no se oyó bien { $said }; repítalo
    .short = { $said }; repítalo
crew-talk = plática
remark-kept = un comentario, guardado como sonido
nothing-said = no se dijo nada
not-a-call-word = "{ $word }" no es palabra de una lectura
word-does-not-belong = "{ $word }" no va ahí
call-breaks-off = la lectura se corta
mended-in-one-breath = dos lecturas en una; diga solo la buena
    .short = solo la buena
too-many-figures = { $said } son { $count } cifras; repita solo el número
    .short = repita solo el número
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
station-form = { $unit ->
    [metre] una estación son kilómetros, "más" y tres cifras
   *[foot] una estación son centenas, "más" y dos cifras
  }
station-hundreds = antes de "más" va un número de 0 a 99
station-side = después de la estación va izquierda o derecha
station-plus = { $unit ->
    [metre] después de "más" van tres cifras
   *[foot] después de "más" van dos cifras
  }
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
said-before-decision = eso se dijo antes de la decisión; repítalo si es del siguiente tramo
said-under-voice = se dijo mientras sonaba esta voz, repítalo
    .short = { $role ->
        [head] delantero,{" "}
        [rear] trasero,{" "}
       *[unsaid] {""}
      }repítalo
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
pull-waits-for-right-tape = el tramo { $pull } espera: mida de nuevo con la cinta que toca, por su número, o tache la palabra si fue un descuido
pull-waits-for-answer = el tramo { $pull } espera: { $question }
whose-turn = { $status }{ $whole_by ->
    [head] . el delantero dice { $unit ->
        [metre] el metro entero
       *[foot] el pie entero
      }, el trasero las centésimas
    [rear] . el trasero dice { $unit ->
        [metre] el metro entero
       *[foot] el pie entero
      }, el delantero las centésimas
   *[unsaid] {""}
  }

## Avisos: lo que pudo pasar cuando la primera y la segunda no cuadran, y lo demás que hay que saber.

finding-one-foot = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo un pie de diferencia: se sujetó, se leyó o se dijo otra marca de pie
    .short = un pie
    .remedy = miren qué marca de pie se sujeta y cuál se lee, y midan de nuevo
finding-one-metre = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo un metro de diferencia: se sujetó, se leyó o se dijo otra marca de metro
    .short = un metro
    .remedy = miren qué marca de metro se sujeta y cuál se lee, y midan de nuevo
finding-foot-mark = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: { $unit ->
    [metre] justo un metro de diferencia
   *[foot] justo un pie de diferencia
  }: { $style ->
    [add] se sujetó o se dijo otra marca
    [cut] se sujetó otra marca, o se dijo ya restada
    [inset] se leyó otra marca, o ya se había descontado la marca sujeta
   *[full] se leyó otra marca, o no se sujetó el cero sino una marca
  }
    .short = { $unit ->
        [metre] un metro
       *[foot] un pie
      }
    .remedy = { $style ->
        [add] miren qué marca se sujeta, díganla tal cual y midan de nuevo
        [cut] miren qué marca se sujeta, díganla tal cual, nunca resten, y midan de nuevo
        [inset] miren qué marca se sujeta y cuál se lee, díganla tal cual y midan de nuevo
       *[full] miren si se sujeta el cero y qué marca se lee, y midan de nuevo
      }
finding-held-mark = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: { $held ->
    [differs] se leyó lo mismo, pero se sujetaba { HUNDREDTHS($held_first) } en la primera y { HUNDREDTHS($held_check) } en la segunda
   *[alike] la diferencia es la marca que se sujetaba, { HUNDREDTHS($held_check) }: en una ya se había descontado
  }
    .short = la marca sujeta
    .remedy = miren qué marca se sujeta, díganla y midan de nuevo
finding-ten-feet = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo diez pies de diferencia: se leyó mal una marca de diez pies
    .short = diez pies
    .remedy = lean las decenas en la marca y midan de nuevo
finding-ten-metres = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo diez metros de diferencia: se leyó mal una marca de diez metros
    .short = diez metros
    .remedy = lean las decenas en la marca y midan de nuevo
finding-hundred-feet = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo cien pies de diferencia: una centena mal leída o que no se dijo
    .short = cien pies
    .remedy = lean las centenas en la marca y midan de nuevo
finding-tape-length = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo una cinta de diferencia: se confundió el cero con el final de la cinta
    .short = una cinta
    .remedy = miren qué extremo de la cinta está en cada marca y midan de nuevo
finding-tape-complement = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: las dos suman la cinta entera: una se leyó desde el otro extremo
    .short = otro extremo
    .remedy = miren qué extremo de la cinta es el cero y midan de nuevo
finding-foot-complement = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: las centésimas suman un pie: una se leyó desde el lado equivocado de la marca
    .short = otro lado
    .remedy = lean las centésimas desde el lado del cero y midan de nuevo
finding-metre-complement = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: las centésimas suman un metro: una se leyó desde el lado equivocado de la marca
    .short = otro lado
    .remedy = lean las centésimas desde el lado del cero y midan de nuevo
finding-already-cut = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: { $odd ->
    [first] en la primera parece que ya se restaron las centésimas al decirla
   *[check] en la segunda parece que ya se restaron las centésimas al decirla
  }
    .short = ya restada
    .remedy = esta cinta resta: digan la marca sujeta y las centésimas tal cual, nunca resten, y midan de nuevo
finding-taken-off = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: { $odd ->
    [first] en la primera parece que se restaron las centésimas
   *[check] en la segunda parece que se restaron las centésimas
  }
    .short = restada
    .remedy = esta cinta suma: digan la marca sujeta y las centésimas tal cual, y midan de nuevo
finding-swapped = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: dos cifras cambiadas de lugar
    .short = cifras cambiadas
    .remedy = digan las cifras una por una y midan de nuevo
finding-six-nine = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: seis y nueve: una cifra leída al revés
    .short = seis y nueve
    .remedy = pongan la cinta al derecho y midan de nuevo
finding-teen-ty = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: números que suenan parecido, como trece y treinta
    .short = suenan igual
    .remedy = digan las cifras una por una y midan de nuevo
finding-sound-alike = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: cifras que suenan parecido, como seis y siete
    .short = suenan igual
    .remedy = digan las cifras una por una y midan de nuevo
finding-one-tenth = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: justo una décima de diferencia: se leyó mal una décima
    .short = una décima
    .remedy = lean las décimas en la marca y midan de nuevo
finding-inches = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: pies y pulgadas: una se leyó con doce pulgadas por pie
    .short = pies y pulgadas
    .remedy = lean décimas y centésimas, no pulgadas, y midan de nuevo
finding-differs = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: no corresponde a ningún error conocido
    .short = no cuadran
    .remedy = miren las dos marcas y midan de nuevo
# Lo que sigue a un remedio cuando se sabe quién dijo lo que difiere.
finding-called-by = { $part ->
    [whole] { $unit ->
        [metre] la marca de metro la dijo
       *[foot] la marca de pie la dijo
      }
    [fraction] las centésimas las dijo
   *[reading] la lectura la dijo
  } el { $first_by } en la primera, el { $check_by } en la segunda
finding-within-tolerance = primera { HUNDREDTHS($first) }, segunda { HUNDREDTHS($second) }: dentro de la tolerancia
    .short = dentro de la tolerancia
finding-style-contradicted = la cuadrilla dice que la cinta { $said ->
    [cut] resta
   *[add] suma
  }, pero el certificado de la cinta { $tape } dice que { $style ->
    [cut] resta
    [add] suma
    [inset] tiene el cero metido
   *[full] tiene centésimas en todo el largo
  }: el certificado no es el suyo, o la cinta en la mano es otra
    .short = resta o suma
    .remedy = mida de nuevo con la cinta que toca, por su número, o tache la palabra si fue un descuido
finding-style-not-confirmed = nadie dijo cómo se lee la cinta { $tape }; se redujo como dice su certificado: { $style ->
    [cut] resta
    [add] suma
    [inset] cero metido
   *[full] centésimas en todo el largo
  }
    .short = cinta sin confirmar
    .remedy = mire la cinta misma antes de usar esta línea
finding-unchecked = no se hizo la comprobación deseada
    .short = sin comprobar
finding-long-gap = { $seconds } segundos entre las partes de una misma lectura
    .short = pausa larga
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
    .short = dudoso
    .remedy = { $severity ->
        [stop] digan "queda la primera", "queda la segunda" o "medir de nuevo"
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
    .short = no es igual
    .remedy = digan "tacha eso", "queda la primera", "queda la segunda" o "medir de nuevo"
finding-tried-again = medido de nuevo después de un alto
    .short = leído de nuevo
finding-repeats-pull = se lee { HUNDREDTHS($second) }, y en el tramo anterior { HUNDREDTHS($first) }
    .short = como el anterior
    .remedy = miren si es otra vez el mismo tramo
finding-unlike-stopped = leído { HUNDREDTHS($second) } después de un alto en { HUNDREDTHS($first) }
    .short = no como antes del alto
    .remedy = miren si es otro tramo
finding-who-holds-whole = nadie dijo quién sujetaba el { $unit ->
    [metre] metro
   *[foot] pie
  }: de un modo es { HUNDREDTHS($first) }, del otro { HUNDREDTHS($second) }
    .short = { $unit ->
        [metre] quién sujeta el metro
       *[foot] quién sujeta el pie
      }
    .remedy = dejen la primera para { HUNDREDTHS($first) }, la segunda para { HUNDREDTHS($second) }, o midan de nuevo
finding-placed-anew = { $holder ->
    [head] el delantero sujeta el { $unit ->
        [metre] metro
       *[foot] pie
      }
    [rear] el trasero sujeta el { $unit ->
        [metre] metro
       *[foot] pie
      }
   *[unsaid] tomado
  }{ $reading ->
    [-1] {""}
   *[other] : { HUNDREDTHS($reading) }
  }
    .short = extremos cambiados
    .remedy = si no es así, midan de nuevo
finding-keyed-stands = { $part ->
    [whole] oído { WHOLE($second) } junto a lo tecleado { WHOLE($first) }; vale lo tecleado
    [fraction] oído { PART($second) } junto a lo tecleado { PART($first) }; vale lo tecleado
   *[length] oído { HUNDREDTHS($first) }, tecleado { HUNDREDTHS($second) }; vale lo tecleado, y la otra parte como se oyó
  }
    .short = vale lo tecleado

## Por qué un tramo queda como se leyó.
finding-not-corrected = sin corregir: { $why }
    .short = sin corregir
    .remedy = { $remedy }
length-not-correctable = una longitud leída de { $length } no se puede corregir
length-not-correctable-remedy = midan de nuevo ese tramo
not-a-temperature = { $degrees } °F no es una temperatura
not-a-temperature-remedy = midan de nuevo ese tramo y digan la temperatura
tension-no-pull = una tensión de { $tension } no tensa la cinta
tension-no-pull-remedy = midan de nuevo ese tramo y digan la tensión
tension-breaks-tape = { $unit ->
    [metre] ninguna cinta de { $area } milímetros cuadrados aguanta una tensión de { $tension }
   *[foot] ninguna cinta de { $area } pulgadas cuadradas aguanta una tensión de { $tension }
  }
tension-breaks-tape-remedy = revisen la tensión, su unidad y el certificado
spans-not-possible = una cinta no puede colgar en { $spans } { $spans ->
    [1] vano
   *[other] vanos
  }
spans-not-possible-remedy = midan de nuevo ese tramo y digan el apoyo (0 es en todo el largo)
cannot-hang = con { $tension }, { $length } de esta cinta no pueden colgar en { $spans } { $spans ->
    [1] vano
   *[other] vanos
  }; hacen falta más de { $least }
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
fault-signature = el asiento { $entry } lleva la firma de { $by } hasta el asiento { $signed }, y la firma no es válida
fault-stamp = el asiento { $entry } lleva un sello de tiempo de lo que no es un asiento anterior
fault-header = no es el registro de un trabajo (o sus primeros bytes están dañados)
fault-unreadable = el registro no se puede leer ({ $reason })

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
told-holds = { $holder ->
    [head] delantero
   *[rear] trasero
  } sujeta el { $unit ->
    [metre] metro
   *[foot] pie
  }
told-stop = alto. tramo { $pull }. { $finding }. { $remedy }
told-stop-first = alto, { $short }
told-tried-again = de nuevo
told-both = primera { $take }, segunda { $check }
told-held = en espera. el tramo { $pull } está pendiente
told-open-again = el tramo { $pull } está abierto otra vez
told-scratched = tachado { $old }
told-scratched-that = tachado eso
told-replaced = { $new }, no { $old }
told-condition = { $name } { $sign ->
    [minus] menos{" "}
   *[plus] {""}
  }{ $amount }
told-for-pull = tramo { $pull }, { $said }
told-temperature = temperatura { $degrees } { $unit ->
    [metre] degC
   *[foot] degF
  }
told-temperature-unknown = temperatura sin indicar
told-tension = tensión { $force } { $unit ->
    [metre] N
   *[foot] lb
  }
told-tension-unknown = tensión sin indicar
told-support-unknown = apoyo sin indicar
# Lo que una voz lenta prepara de antemano, con coma entre uno y otro.
told-often = alto, tramo, tachado, sin comprobar, queda la primera

## Cintas, líneas y comentarios.

not-here = aquí no hay { $what ->
    [tape] cinta
   *[line] línea
  } número { $number }
tape-reads = La cinta { $tape } { $style ->
    [add] suma: se sujeta { WHOLE($held) }, se lee { $read }: { HUNDREDTHS($length) }. Diga cinta que suma una vez en su primer tramo, o suma delante de una lectura.
    [cut] resta: se sujeta { WHOLE($held) }, se lee { $read }: { HUNDREDTHS($length) }. Diga cinta que resta una vez en su primer tramo, o resta delante de una lectura.
    [inset] tiene el cero metido desde la argolla: un extremo lo lee todo, se sujeta { HUNDREDTHS($mark) }, se lee { HUNDREDTHS($reading) }: { HUNDREDTHS($length) }.
   *[full] se lee en un extremo: se sujeta { HUNDREDTHS($mark) }, se lee { HUNDREDTHS($reading) }: { HUNDREDTHS($length) }.
  }
tape-reads-aloud = { $style ->
    [add] se sujeta { WHOLE($held) }, se lee { $read }: { HUNDREDTHS($length) }. diga cinta que suma
    [cut] se sujeta { WHOLE($held) }, se lee { $read }: { HUNDREDTHS($length) }. diga cinta que resta
    [inset] cero metido desde la argolla: se sujeta { HUNDREDTHS($mark) }, se lee { HUNDREDTHS($reading) }: { HUNDREDTHS($length) }
   *[full] se lee en un extremo: se sujeta { HUNDREDTHS($mark) }, se lee { HUNDREDTHS($reading) }: { HUNDREDTHS($length) }
  }
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
device-phone-not-listening = no escucho. escucho
device-phone-idle = no oigo lecturas. dígalas, o teclee
device-phone-muted = no escucho
device-phone-battery = batería baja
device-phone-dead = { $role ->
    [head] micrófono del delantero perdido
   *[rear] micrófono del trasero perdido
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
device-unsaved-next = detenga el trabajo; vuelva a conectar el disco, o libere espacio en él
device-unsaved-calls = Estas lecturas no están en el disco:
clock-forward = el reloj de la computadora se adelantó { DURATION($seconds) }; las horas de antes y después no se comparan
clock-back = el reloj de la computadora se atrasó { DURATION($seconds) }; las horas de antes y después no se comparan
clock-before-last-entry = el reloj de la computadora va { DURATION($seconds) } por detrás del último asiento del trabajo; ¿tiene la hora correcta?
device-phone-paired = teléfono { $name } vinculado
device-phone-revoked = teléfono { $name } dado de baja
device-page-lost = la página del jefe se detuvo; se está iniciando otra vez
device-page-unencrypted = la página del jefe va por esta red sin cifrar
device-page-code-guessed = alguien intenta adivinar el código de la página del jefe
device-gone-on-with = se sigue: { $status }; el trabajo tiene { $calls ->
    [one] 1 lectura
   *[other] { $calls } lecturas
  }
consent-question = ¿Quién acepta que se guarde su sonido? Nombres separados por comas, head=NOMBRE y rear=NOMBRE si cada uno lleva un micrófono; Enter si nadie:
consent-names-please = Escriba los nombres de quienes aceptan.
consent-nobody = No se guarda sonido: nadie lo ha aceptado.
consent-taken-back = No se guarda sonido del micrófono { $role ->
    [head] del delantero
    [rear] del trasero
   *[unsaid] de la cuadrilla
  }: consentimiento retirado por { $names }, o vencido su plazo.
consent-not-given = No se guarda sonido del micrófono { $role ->
    [head] del delantero
    [rear] del trasero
   *[unsaid] de la cuadrilla
  }: quien lo lleva no lo ha aceptado.
device-unagreed = no se guarda sonido de quien no lo ha aceptado
sound-removed = sonido borrado a petición de una persona
words-removed = palabras borradas a petición de una persona
sound-overdue = sonido cuyo plazo ha vencido
sound-not-for-reader = sonido que este lector no puede oír
device-phone-let-in = teléfono { $name } admitido
device-phones-strange = teléfonos vinculados antes que deben vincularse de nuevo: { $count }
device-sound-changed = se alteró un sonido de este trabajo; la página del jefe no reproduce ninguno
device-phone-battery-of = teléfono { $name }: batería al { $percent } %
device-phone-took-over = el teléfono { $name } es el del { $role ->
    [head] delantero
   *[rear] trasero
  } desde ahora
device-phone-trust = los teléfonos de la cuadrilla aceptan el certificado una vez en { $address }; compare su huella: { $fingerprint }

## Teclas: por qué no se toma lo tecleado.

key-no-entry = { $typed } no es una entrada; tecléelo otra vez
key-none-of-keypad = una tecla que no es del teclado numérico; ¿está puesto Bloq Num? tecléelo otra vez
key-nothing-typed = no hay nada tecleado; menos tacha la última lectura
key-point-alone = un punto solo no es un número
key-one-digit = { $digit ->
    [0] { $typed } tiene una cifra para las centésimas; teclee las dos cifras
   *[other] { $typed } puede ser { $whole }.0{ $digit } o { $whole }.{ $digit }0; teclee las dos cifras
  }
key-three-digits = { $typed } no son tres cifras; teclee las tres, como .005 o .050
key-least-count = { $typed } no se puede leer en esta cinta; { $unit ->
    [metre] se lee al milímetro
   *[foot] se lee a 0.005 ft, así que la tercera cifra es 0 o 5
  }
key-mark-or-part = { $typed } puede ser una marca, o lo que sigue al punto; teclee { $typed }. o .{ $typed }
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
key-means-nothing = { $typed } no significa nada; 1/ queda la primera, 2/ queda la segunda, 0/ y Enter medir de nuevo, 3/ siguiente tramo, 4/ { keys-head-holds }, 5/ { keys-rear-holds }, 9/ línea terminada, 7/ { keys-cut }, 8/ { keys-add }
key-no-note = { $unit ->
    [metre] { $typed } no es una nota; teclee como 1+234/18.4 a la derecha, 1+234-18.4 a la izquierda
   *[foot] { $typed } no es una nota; teclee como 1+25/18.4 a la derecha, 1+25-18.4 a la izquierda
  }

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
keys-half-hundredths = centésimas, se espere lo que se espere, con un 5 detrás para media: .05, .425
keys-millimetres = milímetros, se espere lo que se espere; siempre las tres cifras: .005, .050, .500
keys-reading = una lectura completa
keys-repeat = repetir
keys-scratch-typed = tachar la última lectura
keys-scratch = tachar la última lectura; el menos, si hay algo tecleado: borrarlo
keys-clear = borrar la última tecla
keys-switch = cambiar extremos
keys-first = queda la primera
keys-check = queda la segunda
keys-again = medir de nuevo
keys-next = siguiente tramo
keys-cut = esta cinta resta
keys-add = esta cinta suma
keys-finish = línea terminada
keys-head-holds = delantero sujeta el { $unit ->
    [metre] metro
   *[foot] pie
  }
keys-rear-holds = trasero sujeta el { $unit ->
    [metre] metro
   *[foot] pie
  }
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
    [metre] una nota: en la estación 1+234, a la derecha 18.4 m
   *[foot] una nota: en la estación 1+25, a la derecha 18.4 ft
  }
keys-note-left = { $unit ->
    [metre] una nota: en la estación 1+234, a la izquierda 18.4 m
   *[foot] una nota: en la estación 1+25, a la izquierda 18.4 ft
  }

## La pantalla; los rótulos y la señal tienen ocho letras como mucho.

screen-label-tape = cinta
screen-label-pull = tramo
screen-label-next = sigue
screen-label-or = o
screen-label-do = hagan
screen-label-earlier = antes
screen-label-phones = teléfono
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
    [struck] tachada
   *[talk] plática
  }
screen-remark = comentario
screen-remark-written = comentario: { $text }
screen-begun = { $line }, tramo { $pull }; sigue: { $expected }
screen-decision = una decisión del jefe
screen-decision-by-command = una decisión: { $at ->
    [work] terminen el trabajo (Ctrl-C), luego{" "}
   *[rest] {""}
  }calllog decide TRABAJO { $pull } DECISIÓN (first, check o again)
screen-line-finished = la línea está terminada: empiecen la siguiente
screen-switch = los dos: cambien de extremo
screen-switch-or-next = los dos: cambien de extremo, o siguiente tramo
screen-call-reading = la lectura de la { $measurement ->
    [take] primera
   *[check] segunda
  }
screen-call-part = { $role ->
    [unsaid] {""}
   *[other] { $who }:{" "}
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
    [unsaid] {""}
   *[other] { $whole_who }:{" "}
  }{ $unit ->
    [metre] el metro entero
   *[foot] el pie entero
  }{ $whole_by ->
    [unsaid] {" "}y las centésimas
   *[other] , { $fraction_who }: las centésimas,
  } de la { $measurement ->
    [take] primera
   *[check] segunda
  }
screen-read-and-held = { HUNDREDTHS($reading) } - { HUNDREDTHS($held) } sujeto
screen-keeps = queda { HUNDREDTHS($length) }
screen-strikes-condition = tacha la última condición
screen-strikes = tacha { $count ->
    [0] la última lectura
    [1] el último número
   *[other] { $count } números
  }{ $opened ->
    [0] {""}
   *[other] {" "}y abre otra vez el tramo { $opened }
  }
screen-begins-check = empieza la segunda
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
    [first] , queda la primera por { $by ->
          [crew] la cuadrilla
          [chief] el jefe
         *[other] { $by }
        }
    [check] , queda la segunda por { $by ->
          [crew] la cuadrilla
          [chief] el jefe
         *[other] { $by }
        }
   *[agreed] {""}
  }

## Renglones de un registro.

log-rise-of-one-pull = el desnivel de { $rise } { $unit ->
    [metre] m
   *[foot] ft
  } vale solo para el tramo { $pull }; indíquelo en cada tramo que lo tenga
log-leaves-pull = { $name }: { $status }. ¿Empezar { $other } de todos modos? El tramo queda sin anotar. s, o n:
log-left-pull = { $name }: { $status }; queda sin anotar
log-conditions-stated = condiciones: { $conditions }
log-decided = tramo { $pull }: { $choice ->
    [first] queda la primera
    [check] queda la segunda
   *[again] medir de nuevo
  }, lo decidió { $by ->
          [crew] la cuadrilla
          [chief] el jefe
         *[other] { $by }
        }
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
log-decide-it = Decídalo: { $command } DECISIÓN, que es first, check o again
log-misheard = que { $part ->
    [fraction] se oyeron mal
   *[other] se oyó mal
  } { $part ->
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
log-same = sin error
log-recording-taken = { $recording }: { $taken ->
    [one] se tomó { $taken } frase
   *[other] se tomaron { $taken } frases
  }
log-goes-on = La misma orden sigue desde aquí.
log-not-begun = No se anotó nada; la misma orden empieza el trabajo.
log-tape-agrees = { $unit ->
    [metre] Primera y segunda con la cinta { $tape } cuadran hasta { HUNDREDTHS($apart) } m.
   *[foot] Primera y segunda con la cinta { $tape } cuadran hasta { HUNDREDTHS($apart) } ft.
  }
log-tape-doubtful = Vuelva a mirar el certificado de la cinta { $tape }: { $entries }.
log-caution = Cuidado: nunca midan cerca de cables eléctricos, cercas electrificadas o un tercer riel; protéjanse de los rayos; atiendan al tránsito con los dos oídos libres; no graben a nadie sin su consentimiento.
log-caution-again = Advertencias como al comenzar este trabajo; calllog card las tiene todas.
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
page-slope-distance = Distancia inclinada
page-slope-mark = distancia inclinada
page-lead = { $kind ->
    [slope] distancia inclinada
   *[horizontal] longitud horizontal
  } (k = 2, 95 %)
page-length-told = Longitud (k = 2, 95 %)
page-standard-uncertainty = Incertidumbre estándar (k = 1)
page-expanded-uncertainty = Incertidumbre expandida (k = 2, 95 %)
page-not-known = no se sabe
page-tolerance-of-check = Tolerancia entre primera y segunda
page-check-policy = { $policy ->
    [required] comprobación obligatoria
    [wanted] comprobación deseada
   *[none] sin comprobación
  }
page-where-they-agree = cuando cuadran
page-book-policy = { $policy ->
    [mean] se anota su media
    [check] se anota la segunda
   *[first] se anota la primera
  }
page-pages-of-this-job = Páginas de este trabajo
page-summary = Resumen del día
page-about-summary = Longitud con su incertidumbre expandida (k = 2, cerca del 95 %), hasta la última cifra que se lee
page-class = Clase
page-verdict = { $met ->
    [yes] cumple { $name }
    [no] no cumple { $name }
   *[unknown] no consta que cumpla { $name }
  }
page-judged-by = { $by ->
    [closure] por el cierre medido
   *[uncertainty] por su incertidumbre
  }
page-record = Documento
page-measured-less-record = Medido − documento
page-not-finished = sin terminar
page-in-print = impreso
page-stops = Altos, y quién decidió
page-equipment = Equipo
page-distances-title = Distancias de { $job }, { $days }
page-distances-about = cada una ± su incertidumbre expandida (k = 2, cerca del 95 %).
page-distances-not = Lo que se midió, no por dónde va un lindero. Registro { $digits }.
page-standing = Estado, antes de cualquier cifra
page-standing-more = y { $count } más: véanse las páginas de las líneas
page-of-line = { $name }: { $what }
page-nothing-booked-yet = aún no se ha anotado ningún tramo
page-complete-book = completo: todas las líneas están terminadas, nada se decidió en un alto, se saben todas las correcciones
page-complete = completo: todas las líneas están terminadas, nada se decidió en un alto, se saben todas las correcciones; nadie lo ha firmado todavía
page-complete-signed = completo: todas las líneas están terminadas, nada se decidió en un alto, se saben todas las correcciones; firmado por { $name } el { $date } y sin cambios desde entonces
page-running-head = { $job } · { $title } · { $days }
page-running-head-no-day = { $job } · { $title }
page-short-hash = registro { $digits }
page-lines = Líneas
page-about-lines = { $unit ->
    [metre] Cada recorrido de una línea. Longitudes en metros; u es la incertidumbre estándar (k = 1).
   *[foot] Cada recorrido de una línea. Longitudes en pies; u es la incertidumbre estándar (k = 1).
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
    [metre] Longitudes y correcciones en metros; una corrección se suma a la longitud leída. ? = no se sabe, así que no se corrige; * = suma sin lo que no se sabe. Una longitud de desnivel desconocido es una distancia inclinada, y lo dice; un total es horizontal solo si lo son todos sus tramos. Lo tachado queda legible. Debajo de cada tramo está lo que hay que decir de él.
   *[foot] Longitudes y correcciones en pies; una corrección se suma a la longitud leída. ? = no se sabe, así que no se corrige; * = suma sin lo que no se sabe. Una longitud de desnivel desconocido es una distancia inclinada, y lo dice; un total es horizontal solo si lo son todos sus tramos. Lo tachado queda legible. Debajo de cada tramo está lo que hay que decir de él.
  }
page-pull = Tramo
page-from-point = De
page-to-small = a
page-to = a { $ends }
page-tape-small = cinta
page-take = Primera
page-check = Segunda
page-check-less-first = Segunda − primera
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
    [metre] Longitudes horizontales en metros, o distancias inclinadas donde lo dice; diferencia: la segunda menos la primera. 1:N se redondea hacia abajo.
   *[foot] Longitudes horizontales en pies, o distancias inclinadas donde lo dice; diferencia: la segunda menos la primera. 1:N se redondea hacia abajo.
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
page-one-in-or-better = { $ratio } o mejor: { $unit ->
    [metre] no se lee nada por debajo de { $least } m
   *[foot] no se lee nada por debajo de { $least } ft
  }
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
page-no-notes = No hay notas de estación y distancia al costado.
page-not-there = Lo que no hay
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
page-by-computer = la computadora
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
page-uncertainty-of-line = Incertidumbre estándar de la longitud (k = 1)
page-uncertainty-of-part = Incertidumbre estándar de los tramos que se pueden corregir (k = 1)
page-and-expanded = con k = 2 (95 %)
page-uncertainty-from = { $unit ->
    [metre] { $random } m por lo que cambia de tramo en tramo, { $common } m por lo que es común a todos.
   *[foot] { $random } ft por lo que cambia de tramo en tramo, { $common } ft por lo que es común a todos.
  }
page-about-budget = Incertidumbres estándar (k = 1), primero la parte mayor. Lo aleatorio se suma en cuadrados a lo largo de la línea, lo común entero, cada parte con su signo.
page-budget = Balance de la incertidumbre
page-budget-rest = { $count ->
    [one] { $count } más
   *[other] { $count } más, en conjunto
  }
page-budget-rest-source = cada una menor que las de arriba; sumadas en cuadrados
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
page-crew-as-read = Sus comprobaciones cuadran mejor que eso; no se afirma menos de lo que muestra una lectura hasta su última cifra.
page-crew-left-out = { $count ->
    [one] No cuenta { $count } tramo comprobado que pidió una decisión.
   *[other] No cuentan { $count } tramos comprobados que pidieron una decisión.
  }
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
page-caution-safety = Las cintas de acero conducen la electricidad: nunca midan cerca de cables, cercas electrificadas o un tercer riel; protéjanse de los rayos. Atiendan al tránsito, con los dos oídos libres. No graben a nadie sin su consentimiento; esta página puede traer el sonido de las lecturas.
page-software = Programa
page-calls-taken-by = Lecturas tomadas por
page-keys = teclas
page-written = Escrita
page-last-hash = Huella del último asiento del registro
page-about-journal = Calculada solo a partir del registro; la orden «calllog verify» comprueba que sale de él. Las horas son las de la computadora de la cuadrilla, con su diferencia de UTC, o UTC donde no se conoce su zona; las de una grabación dicen cuándo se tomó.
page-client = Cliente
page-project = Proyecto
page-crew-names = Cuadrilla
page-weather = Tiempo
page-instruments = Instrumentos
page-identity = Identidad del trabajo
page-held-take = primera: delantero { $head }, trasero { $rear }
page-held-check = segunda: delantero { $head }, trasero { $rear }
page-from-here = Desde aquí
page-crew-role = { $role ->
    [head] delantero
    [rear] trasero
    [chief] jefe
   *[other] { $role }
  }
page-instrument-kind = { $kind ->
    [tape] cinta
    [balance] dinamómetro
    [thermometer] termómetro
   *[other] { $kind }
  }
page-deed-facts = se hicieron constar{ $anew ->
    [0] {""}
   *[other] {" "}de nuevo
  } datos del trabajo
page-signed-with-key = con la clave { $fingerprint }, la firma es válida
page-signed-without-key = sin firma digital
page-paper = Para firmar en papel
page-paper-last-entry = Último asiento del registro: { $entry }. Su huella:
page-paper-signed = Firma:
page-paper-date = Fecha:
page-paper-about = Guardado aparte del trabajo, este papel muestra después si algo cambió hasta este asiento: calllog verify TRABAJO --last-hash { $digits } (con 32 cifras o más si se teme una falsificación).
page-sound-changed = sonido alterado

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
page-least-count = Menor división
page-certificate-foot = Pie
page-which-foot = { $foot ->
    [us-survey] pie topográfico de EE. UU.
   *[international] pie internacional
  }
page-certified-length = Longitud certificada
page-certified-uncertainty = Su incertidumbre estándar
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
page-assumed = { $value }, supuesto: no declarado
page-modulus = Módulo de elasticidad
page-expansion = Dilatación
page-per-degree = { $unit ->
    [metre] { $alpha } por °C
   *[foot] { $alpha } por °F
  }

## What makes the uncertainty; sources are cited as they are.

source-common-practice = práctica común, sin fuente publicada
source-least-count = { $unit ->
    [metre] la mitad de la menor división, { $least } m (GUM F.2.2.1)
   *[foot] la mitad de la menor división, { $least } ft (GUM F.2.2.1)
  }
input-kind = { $kind ->
    [random] aleatoria
    [common] común
   *[one-way] de un solo lado, siempre igual
  }
input-shape = { $shape ->
    [normal] normal
    [rectangular] rectangular
   *[triangular] triangular
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
input-plumbing-not-stated = aplomado de los dos extremos, altura no dicha: como al pecho
input-sag-unknown = catenaria no conocida
input-slope-unknown = pendiente no conocida
input-level = a nivel
input-rise = desnivel
input-angle = ángulo de la pendiente
input-off-line = fuera de línea
input-off-line-measured = distancia fuera de la línea, medida
input-tension-unknown = tensión no conocida
input-tension-habit = tensión, por costumbre o con dinamómetro
input-tension = tensión de tramo en tramo
input-tension-times-habit = tensión de tramo en tramo por costumbre
input-mean = { $input }, media
input-spread = { $input }, dispersión
budget-uncertainty = { $unit ->
    [metre] la incertidumbre estándar de { $length } m es { $u } m
   *[foot] la incertidumbre estándar de { $length } ft es { $u } ft
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
plot-unknown = no se sabe
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
plot-asked-below = una lectura sola de menos del { $percent } % se pregunta otra vez
plot-number-of-call = número de la lectura
plot-certainty-percent = seguridad, %

## La tarjeta impresa.

card-title = Protocolo de voz para cuadrillas de cinta
card-pull = Un tramo
card-loop = Decir y confirmar
card-numbers = Números
card-commands = Órdenes
card-conditions = Condiciones: desnivel y marca sujeta para un tramo, las demás desde ese momento
card-tones = Tonos
card-keypad = Teclado, en cualquier momento ({ $enter } es Enter)
card-footer = La plática no se toma: { $talk } y parecidos. calllog { $version }, gramática { $grammar }.
card-does-switch = cambiar de extremo; sigue la segunda
card-does-scratch = tacha el último número o condición
card-does-again = el tramo desde el principio; quedan las dos
card-does-first = en un alto: vale la primera
card-does-check = en un alto: vale la segunda
card-does-next = sigue sin comprobar, donde no hace falta
card-does-cut = esta cinta resta; también delante de una lectura
card-does-add = esta cinta suma; también delante de una lectura
card-does-finish = cierra la línea
card-does-remark = lo siguiente se guarda como sonido
card-does-repeat = repite lo último que se dijo
card-does-who = dice quién dice qué ahora
card-does-caller-holds = { $unit ->
    [metre] lo dice quien sujeta el metro, antes de un tramo o si se pregunta
   *[foot] lo dice quien sujeta el pie, antes de un tramo o si se pregunta
  }
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
card-tone-error-means = esa tecla no dice nada aquí, o no se entendió lo que pudo ser una lectura
card-tone-cleared = dos, bajando
card-tone-cleared-means = se borró lo tecleado
card-tone-warn = cuatro rápidos, muy agudos
card-tone-warn-means = miren la pantalla: aparato o ruido
card-pull-take = { $unit ->
    [metre] <b>Primera.</b> Un extremo dice el metro entero, el otro las centésimas; o uno lo dice todo.
   *[foot] <b>Primera.</b> Un extremo dice el pie entero, el otro las centésimas; o uno lo dice todo.
  }
card-pull-check = { $switch }, cambien de extremo y digan los dos otra vez: es la <b>segunda</b>.
card-pull-booked = Dentro de la tolerancia se anota. <b>Vuelvan a cambiar o sigan.</b> Si pregunta quién sujeta el { $unit ->
    [metre] metro
   *[foot] pie
  }: que lo diga quien lo tiene, o díganlo todo.
card-pull-cut = Una cinta que <b>resta</b>: digan por separado la marca sujeta y las centésimas, nunca resten.
card-loop-call = <b>Diga</b>, cada uno a su paso; un tono por parte, luego se leen las dos.
card-loop-right = <b>¿Bien?</b> No diga nada: <b>quien calla otorga.</b>
card-loop-wrong = <b>¿Mal?</b> Diga { $scratch }, y dígalo otra vez.
card-loop-asked = <b>¿Pregunta?</b> Repítalo, las dos cifras, una por una.
card-loop-stop = <b>¿ALTO?</b> Nadie se mueve. Lean otra vez las marcas: cuenta como { $again }; o decide el jefe.
card-caution-power = <b>Cables eléctricos:</b> el acero conduce. Apártense, también de cercas eléctricas, rieles y tormentas.
card-caution-traffic = <b>Tránsito:</b> sigan las normas del lugar. <b>Los dos oídos libres</b>, lleven lo que lleven.
card-caution-tension = <b>La cinta tensa</b> azota. Guantes, lentes, la cara a un lado. Las plomadas tienen punta.
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
card-number-named = con la unidad
card-number-full-tape = la cinta entera
card-number-one-microphone = un solo micrófono
card-number-one-microphone-forms = { $head } o { $rear } delante
card-number-note = { $unit ->
    [metre] una nota, 1+234
   *[foot] una nota, 1+25
  }

## Voces que el programa aprende.

voices-none = No se guarda ninguna voz en { $folder }. Inscribir: calllog enroll NOMBRE
voices-line = { $name }: aprendida de { $calls } lecturas, la última vez el { $made }
voices-file = guardada en { $file }, { $bytes } bytes de texto, sin sonido
voices-holds = contiene { $parts } componentes con que la red la oye mejor, un tono de { $pitch } Hz y un espectro medio; sus propias lecturas son más probables en { $gained } nat
voices-misheard = antes, «{ $said }» se oía como «{ $heard }»: { $times ->
    [one] { $times } vez
   *[other] { $times } veces
  }
voices-hash = un trabajo la recuerda como { $hash }
voices-removed = La voz de { $name } está eliminada: { $file }
voices-used = El micrófono { $role ->
    [head] del delantero
   *[rear] del trasero
  } se oye como { $name }, mientras suene como { $name }.
voices-not-here = Aquí no hay voz de { $names }: se oye como cualquiera. Para inscribir: calllog enroll NOMBRE
enroll-kept = De la voz se guarda un archivo de números, unos 25 kB: { $file }. No se guarda sonido. `calllog voices` lo muestra y lo elimina.
enroll-begin = Usted es el delantero. Se muestran 18 números y luego dos tramos; diga cada cosa una vez, como en la línea. Enter para empezar, n para no:
enroll-not-begun = No se empezó nada, no se guarda nada.
enroll-say = { $place }  diga: { $said }
enroll-we-say = el trasero dice: { $said }
enroll-once-more = No sonó así: otra vez.
enroll-rehearsal = Ahora dos tramos. Yo soy el trasero; lo que respondo es lo que respondo en la línea.
enroll-rehearsal-ends = El ensayo termina aquí.
enroll-passed-over = ! { $call }: no se aprende de ella; debía ser «{ $said }», se oyó «{ $heard }»
enroll-done = La voz de { $name } está aprendida de { $calls } lecturas, en { $seconds } s: { $bytes } bytes en { $file }
enroll-use = Úsela: calllog listen ... --head "{ $name }", o --rear; calllog hear --speaker "{ $name }"
enroll-offer = La voz del { $role ->
    [head] delantero
   *[rear] trasero
  } se puede aprender de { $calls } lecturas de tramos que cuadraron: { $command }
voices-set-aside = ! Nadie suena como { $name }: se oye como cualquiera. Diga quién es con --head o --rear.

## Lo que hay que saber de un trabajo antes de cualquier cifra, sobre cada página, tabla y hoja.
state-rescued = rescatado de { $job }: { $entries ->
    [one] se salvó { $entries } asiento del registro
   *[other] se salvaron { $entries } asientos del registro
  }, { $lost ->
    [0] no se sabe de ninguno posterior perdido
    [one] se sabe de { $lost } posterior perdido
   *[other] se sabe de { $lost } posteriores perdidos
  }, { $sounds ->
    [0] no se perdió ningún sonido
    [one] se perdió { $sounds } sonido
   *[other] se perdieron { $sounds } sonidos
  } (el { $time })
state-changed-since-signing = cambiado por { $entries ->
    [one] { $entries } asiento del registro
   *[other] { $entries } asientos del registro
  } desde que { $name } lo firmó el { $date }
state-listed = { $first }, { $then }
state-sound-changed = { $sounds ->
    [one] { $sounds } sonido no es el que se grabó
   *[other] { $sounds } sonidos no son los que se grabaron
  }
state-sound-lost = { $sounds ->
    [one] falta { $sounds } sonido de una lectura, o no se puede leer
   *[other] faltan { $sounds } sonidos de lecturas, o no se pueden leer
  }
state-unfinished = { $name }: la cuadrilla no terminó esta línea
state-unfinished-rescued = { $name }: ningún asiento termina esta línea; quizá lo hizo uno que se perdió
state-waits = { $name }: el tramo { $pull } espera una decisión
state-left = { $name }: { $count ->
    [one] empezado y no anotado: tramo { $pulls }
   *[other] empezados y no anotados: tramos { $pulls }
  }
state-certificate = { $name }: hay que volver a mirar el certificado de la cinta { $tape } ({ $entries }): { $count ->
    [one] tramo { $pulls }
   *[other] tramos { $pulls }
  }
state-decided = { $name }: tras un alto { $by ->
          [crew] la cuadrilla
          [chief] el jefe
         *[other] { $by }
        } decidió { $count ->
    [one] el tramo { $pulls }
   *[other] los tramos { $pulls }
  }
state-not-corrected = { $name }: { $count ->
    [one] sin corregir, vale como se leyó: tramo { $pulls }
   *[other] sin corregir, valen como se leyeron: tramos { $pulls }
  }
state-corrections-unknown = { $name }: no se sabe la corrección por { $correction }: { $count ->
    [one] tramo { $pulls }
   *[other] tramos { $pulls }
  }

## El teléfono del jefe: su página.

chief-title = la página del jefe
chief-unreached = ✕ SIN SEÑAL: todavía sin conexión
chief-no-line = Todavía no hay línea
chief-pull = tramo
chief-stop-sending = No enviarlo
chief-decide = ▲ ALTO: decida
chief-measured = El tramo
chief-first = Primera
chief-check = Segunda
chief-next = Sigue
chief-read = leídos
chief-recorded = { $pulls ->
    [one] anotado
   *[other] anotados
  }
chief-orders = Órdenes
chief-strike = Tachar
chief-again = Medir de nuevo
chief-correct = Corregir un valor
chief-state-condition = Indicar una condición
chief-add-remark = Añadir un comentario
chief-calls = Lecturas
chief-in-force = En vigor
chief-past = Anotados
chief-earlier = Tramos anteriores
chief-paired-as = Vinculado como
chief-leave = Desvincular este teléfono
chief-look-up = Levante la vista: lejos de líneas eléctricas y del tránsito mientras lee. Nada aquí decide por sí solo.
chief-counts-for = Cuenta para la
chief-heard-stays = Lo que se oyó queda, tachado.
chief-counting = { $measurement ->
    [take] primera
   *[check] segunda
  }
chief-what-it-is = Qué es
chief-typed = Tecleado
chief-back = Volver
chief-send = Enviar
chief-condition = Condición
chief-amount = Cantidad
chief-below-zero = Sobre cero o bajo cero
chief-on-this-pull = Sobre este tramo
chief-waiting = ✕ EN ESPERA: { $why }
chief-stale = ✕ SIN SEÑAL: no llega nada del registrador
chief-stale-for = desde hace { $seconds } s
chief-live = ● EN VIVO
chief-stop = ▲ ALTO
chief-struck = Tachadas: { $lengths }
chief-decide-pull = ▲ ALTO: decida el tramo { $pull }
chief-held = { $calls ->
    [one] { $calls } lectura en espera.
   *[other] { $calls } lecturas en espera.
  }
chief-last-order = Última orden: { $order }.
chief-changed-at = Último cambio a las { $time }.
chief-play = Escuchar la lectura { $call }: { $said }
chief-no-playing = No se puede reproducir el sonido.
chief-card-pull = Tramo { $pull }
chief-card-values = Primera { $first }, segunda { $check }.
chief-no-check = ninguna
chief-card-struck = Se midió de nuevo; tachadas:
chief-sending = Enviando: { $order }
chief-sent-no-more = { $order }: ya no se envía. Puede que haya contado: mire el tramo.
chief-value = Valor { $value }
chief-remark = Comentario
chief-clear-key = Borrar la última tecla
chief-point = Punto
chief-line = { $from } a { $to }
chief-keep = { $which ->
    [first] Queda la primera
    [check] Queda la segunda
   *[later] Queda lo último
  }
chief-part = { $part ->
    [whole] { $unit ->
        [metre] Metro
       *[foot] Pie
      }
    [hundredths] Centésimas
    [centimetres] Centímetros
    [millimetres] Milímetros
   *[reading] Lectura
  }
chief-booking = { $booking ->
    [agreed] primera y segunda cuadran
    [first] queda la primera
    [check] queda la segunda
   *[unchecked] sin comprobar
  }{ $by ->
    [none] {""}
   *[other] {" "}por { $by }
  }{ $checked ->
    [yes] , diferencia { HUNDREDTHS($difference) }
   *[no] {""}
  }

## El teléfono del jefe: qué pasa con una orden.

order-taken = tomada
order-unsaved = tomada, pero todavía no está en el disco
order-disk-fails = no se tomó: no se puede guardar nada; repítala cuando pase el alto
order-outside = no se tomó: este teléfono ya no está vinculado
order-not-taken = no se tomó: { $why }
order-nothing-to-decide = { $status }; no hay nada que decidir
order-plain-words = escriba el comentario con palabras sencillas
order-no-value = eso no es un valor
order-no-entry = eso no es una entrada
order-held = { $status }: queda la primera, queda la segunda o medir de nuevo
order-choice = { $choice ->
    [first] quedó la primera
    [check] quedó la segunda
   *[again] se mide de nuevo
  }
order-conditions-changed = entretanto cambiaron las condiciones
order-decided-meanwhile = el tramo { $pull } ya se decidió entretanto, { order-choice } por { $by }
order-gone-on = el trabajo siguió entretanto; { $status }
order-last-decision = Tramo { $pull }: { order-choice } por { $by }
order-last = { $order }, por { $by }
order-remark = un comentario

## Los teléfonos: la página donde se vinculan, y por qué no entran.

door-title = Vincular este teléfono
door-code-where = El código está en la pantalla del registrador. Deja entrar a un teléfono; después el registrador muestra otro.
door-code = Código
door-name = Su nombre, como debe quedar en el registro
door-whose = Este teléfono es
door-chief = la página del jefe
door-head = del delantero
door-rear = del trasero
door-pair = Vincular
door-not-paired = No se vinculó: { $why }.
door-unreached = No se vinculó: no se alcanza el registrador.
door-wrong = ese no es el código que está en la pantalla del registrador
door-wait = demasiados códigos equivocados; espere un minuto
door-spent = demasiados códigos equivocados; el registrador muestra otro, que vale en un minuto
door-taken = ese nombre es de un teléfono vinculado, o se le parece; tome otro nombre, o dé de baja ese teléfono en el registrador
door-nameless = dé un nombre de hasta 20 letras y cifras, de un solo alfabeto, primero una letra
door-reserved = ese nombre es del registrador o de la cuadrilla; tome otro nombre
door-incomplete = dé el código y un nombre
door-not-wanted = no se espera ningún teléfono para eso
door-no-answer = el registrador no contesta; intente de nuevo con el código que muestra
phone-no-script = Esta página necesita JavaScript.
phone-not-paired = este teléfono no está vinculado
phone-waits = el registrador se inició de nuevo y todavía no deja entrar a este teléfono: tecla y en su teclado
phone-no-chief = este teléfono es de alguien de la cuadrilla: la página del jefe es solo para el del jefe
phone-no-page = no existe esa página
phone-too-long = eso es demasiado largo
phone-many-pages = hay demasiadas páginas abiertas
phone-no-sound = no se guardó sonido de esta lectura
phone-no-order = eso no es una orden
phone-many-orders = espere las respuestas a lo que envió antes
phone-no-answer = el registrador no contesta
phone-other-address = esta no es la dirección de la página
phone-other-page = eso viene de otra página
phone-no-json = eso no es JSON

## Los teléfonos, en la pantalla del registrador.

phones-code = código { $code }
phones-paired = vinculados: { $phones }
phones-none = todavía ninguno
phones-invite = ({ $key }: QR)
phones-rivals = { $phones } - { $key } los deja tomar el lugar
phones-waiting = vinculados antes: { $phones } - { $key } los deja entrar
phones-no-phone = { $role }: sin teléfono
phones-muted = { $role }: { $name }, en silencio
phones-heard = { $role }: { $name }, { $heard ->
    [yes] se oye
   *[no] no se oye
  }
phones-back = { $key }: volver
phones-let-in = { $key }: dejar entrar a { $phones }
phones-revoke = { $key }: dar de baja a { $phone }

## Los teléfonos de la cuadrilla: lo que muestra su página.

crew-phone-title = Su micrófono, su oído y sus teclas
crew-phone-consent-title = Antes del primer sonido
crew-phone-head = delantero
crew-phone-rear = trasero
crew-phone-heard-by = El micrófono de este teléfono se envía al registrador por la red propia de la cuadrilla, y él anota los números que usted dice. Nada sale de esa red.
crew-phone-kept = Si usted acepta, se guarda en el trabajo un fragmento breve de cada lectura suya, y nada más de lo que diga.
crew-phone-none-kept = En este trabajo no se guarda ningún sonido.
crew-phone-until = Se guardan hasta
crew-phone-no-end = Se guardan hasta que usted retire su consentimiento: pídalo a quien está en el registrador.
crew-phone-listeners = Quién puede escucharlos:
crew-phone-listener = { $who ->
    [crew] la cuadrilla
    [chief] el jefe
    [office] la oficina
   *[other] { $who }
  }
crew-phone-traffic = Lleve el sonido del teléfono en un solo oído. El otro queda libre para el tránsito.
crew-phone-agree = Acepto: escuche
crew-phone-agree-none = Escuche, y no guarde nada
crew-phone-leave = Desvincular este teléfono
crew-phone-listening = Escuchando
crew-phone-connecting = Conectando
crew-phone-cut-off = NO ESCUCHA: no se alcanza el registrador
crew-phone-waiting = NO ESCUCHA: otro teléfono tiene este lugar; quien está en el registrador debe pulsar t
crew-phone-replaced = NO ESCUCHA: la página está abierta en otra ventana de este teléfono
crew-phone-muted = NO ESCUCHA: nadie dijo nada en diez minutos
crew-phone-dead = NO ESCUCHA: el micrófono no da sonido
crew-phone-asleep = NO ESCUCHA: el teléfono detuvo el sonido; toque la pantalla
crew-phone-refused = El navegador no da el micrófono a esta página: permítalo en sus ajustes
crew-phone-no-microphone = No se puede abrir el micrófono
crew-phone-here = Estoy aquí: escuche otra vez
crew-phone-again = Repetir
crew-phone-strike = Tachar −
crew-phone-switch = Cambio +
crew-phone-enter = Enter
crew-phone-clear = Borrar
crew-phone-point = punto
crew-phone-volume = Volumen
crew-phone-ear = Oído
crew-phone-left = izquierdo
crew-phone-right = derecho
crew-phone-screen = Deje esta página al frente. Donde el navegador lo permite, la pantalla queda encendida sola; oscurézcala, no la bloquee.
crew-phone-paired-as = Vinculado como
crew-phone-keys = Teclas
crew-phone-typed = Tecleado
crew-phone-not-sent = no enviado
crew-phone-insecure = No se confía en esta página, y el navegador no le da micrófono: acepte primero el certificado del registrador
crew-phone-next = Sigue
crew-phone-sound = Sonido y vinculación
crew-trust-title = Confiar en el registrador
crew-trust-why = Un navegador da el micrófono solo a una página de confianza. El registrador hizo un certificado propio; un teléfono lo acepta una vez. Vale solo para direcciones privadas, como las de la red de la cuadrilla.
crew-trust-picture = Un teléfono carga el certificado, lo instala, compara su huella con la pantalla del registrador y abre la página con candado
crew-trust-download = Cargar el certificado
crew-trust-install-android = Android: Ajustes, Seguridad, Cifrado y credenciales, Instalar un certificado, Certificado de CA; elija el archivo cargado.
crew-trust-install-apple = iPhone: Ajustes, Perfil descargado, Instalar; luego General, Información, Confianza de certificados: actívelo.
crew-trust-compare = Antes de confirmar, compare la huella SHA-256 que muestra el teléfono con la pantalla del registrador. Si difieren, pare: la envió otra persona. Es:
crew-trust-open = Abrir la página
crew-trust-once = Se hace una vez por teléfono. Para retirarlo, quite el certificado en los mismos ajustes.
