"""Figures as each language says them: school grammar and usage, each row checked by a person; from memory."""

import pytest

from timing.language import spoken_form

SAID = {
    "it_IT": """
        alle 3:30 = alle tre e mezza | nel 1987 = nel millenovecentottantasette | € 2,50 = due euro e cinquanta
        1/3 = un terzo | 2/5 = due quinti | 3/4 di litro = tre quarti di litro | 5/8 = cinque ottavi
        21 anni = ventuno anni | 28 pesci = ventotto pesci | 101 = centouno | 1.000 = mille
        2.345 = duemilatrecentoquarantacinque | 1.000.000 = un milione | 3ª = terza | 1º = primo | 8º piano = ottavo piano
        -5° = meno cinque gradi | 20 °C = venti gradi celsius | 3,14 = tre virgola quattordici | 31 kg = trentun chili
        50 km/h = cinquanta chilometri all'ora | Luigi XIV = luigi quattordici | Sig. Rossi = signor rossi
        0,50 € = cinquanta centesimi | 10.000 € = diecimila euro | 5-7 giorni = cinque a sette giorni
        0,05 km = zero virgola zero cinque chilometri | n. 7 = numero sette | 12:05 = dodici e cinque
        ½ litro = mezzo litro | ¼ = un quarto | 2½ = due e mezzo | 3¼ = tre e un quarto | 1¾ = uno e tre quarti | 3/2 = tre mezzi
        alle 1:15 = alle una e quindici | 21 ore = ventuno ore""",
    "fr": """
        à 3h30 = à trois heures et demie | à 1 h = à une heure | 21 h = vingt et une heures | à 12:00 = à douze heures
        2/3 = deux tiers | 5/8 = cinq huitièmes | en 1789 = en mille sept cent quatre vingt neuf | 200 = deux cents
        201 = deux cent un | 71 ans = soixante et onze ans | 81 = quatre vingt un | 91 = quatre vingt onze
        1 000 = mille | 2 345 678 = deux millions trois cent quarante cinq mille six cent soixante dix huit
        1 000 € = mille euros | 2 300,50 € = deux mille trois cents euros cinquante | 1 € = un euro
        1er = premier | 1re = première | 21e = vingt et unième | 71e = soixante et onzième | la 2e = la deuxième
        10 % = dix pour cent | -5° = moins cinq degrés | 0,05 = zéro virgule zéro cinq | 0,50 € = cinquante centimes
        50 km/h = cinquante kilomètres à l'heure | Louis XIV = louis quatorze | n° 5 = numéro cinq
        1 livre = un livre | 80 poissons = quatre vingts poissons
        ½ litre = un demi litre | ¼ = un quart | 2½ = deux et demi | 1¾ = un trois quarts | 3/4 = trois quarts
        5/2 = cinq demis | à 7:05 = à sept heures cinq
        3,14 = trois virgule quatorze | J'en ai 3. Bon. = j'en ai trois bon""",
    "de_DE": """
        um 3:30 = um drei uhr dreißig | um 1:15 Uhr = um ein uhr fünfzehn | 1/2 = ein halb | 5/2 = fünf halbe
        1/3 = ein drittel | 3/4 = drei viertel | 2/7 = zwei siebtel | 5/8 = fünf achttel | 3/20 = drei zwanzigstel
        1987 = neunzehnhundertsiebenundachtzig | im Jahr 1100 = im jahr elfhundert
        im Jahr 2024 = im jahr zweitausendvierundzwanzig | im Jahr 1099 = im jahr eintausendneunundneunzig
        2,50 € = zwei euro fünfzig | 1 € = ein euro | 101 = einhunderteins | 1.000.000 = eine million
        2.000.000 = zwei millionen | am 3. Mai = am dritten mai | der 1. Tag = der erste tag
        der 21. März = der einundzwanzigste märz | -5° = minus fünf grad | 3,14 = drei komma vierzehn
        50 km/h = fünfzig stundenkilometer | Ludwig XIV. = ludwig vierzehn | Nr. 5 = nummer fünf | halb 4 = halb vier
        0,50 € = fünfzig cent | 1,5 km = eins komma fünf kilometer | 5-7 Tage = fünf bis sieben tage
        7 300 = siebentausenddreihundert
        ½ Liter = ein halb liter | ¼ = ein viertel | 2½ = zwei einhalb | 2¼ = zwei ein viertel | 2¾ = zwei drei viertel
        5/19 = fünf neunzehntel | im Jahr 2000 = im jahr zweitausend | im Jahr 1900 = im jahr neunzehnhundert""",
    "es": """
        a las 3:30 = a las tres y media | a la 1:15 = a la una y quince | a las 21:00 = a las veintiuna
        3/4 = tres cuartos | 2/3 = dos tercios | 1/5 = un quinto | 5/8 = cinco octavos
        en 1987 = en mil novecientos ochenta y siete | 2,50 € = dos euros con cincuenta | 500 = quinientos
        1.000 = mil | 1.000.000 = un millón | 1º = primero | 3ª = tercera | 21º = vigésimo primero
        10 % = diez por ciento | 20 °C = veinte grados centígrados | 3,14 = tres coma catorce | 16 = dieciséis
        31 = treinta y uno | 22 = veintidós | Luis XIV = luis catorce | Sr. García = señor garcía
        0,50 € = cincuenta céntimos | 1.500 € = mil quinientos euros | 5-7 días = cinco a siete días
        ½ litro = medio litro | ¼ = un cuarto | 2½ = dos y medio | 3¼ = tres y cuarto | 1¾ = uno y tres cuartos
        1/2 = medio | 1/3 = un tercio | 3/2 = tres medios | 2/5 = dos quintos
        3,145 = tres coma uno cuatro cinco | 3,05 = tres coma cero cinco | -1 km = menos un kilómetro | -1 h = menos una hora
        1.234.567 = un millón doscientos treinta y cuatro mil quinientos sesenta y siete | 10 000 = diez mil | 1 000 000 = un millón | 10 000 € = diez mil euros
        31 h = treinta y una horas | 1 h = una hora
        R2 = erre dos | ABC1 = a be ce uno | Tengo 3. Bien. = tengo tres bien | -5% = menos cinco por ciento""",
    "pt_BR": """
        às 3:30 = às três e meia | à 1:15 = à uma e quinze | às 21:00 = às vinte e uma horas
        22:30 = vinte e duas e meia | 1:00 = uma hora | 12:00 = doze horas | 21 h = vinte e uma horas
        3/4 = três quartos | 2/3 = dois terços | 1/3 = um terço | 5/8 = cinco oitavos
        em 1987 = em mil novecentos e oitenta e sete | R$ 2,50 = dois reais e cinquenta | R$ 1 = um real
        200 = duzentos | 2.345 = dois mil trezentos e quarenta e cinco | 3ª = terceira | 11º = décimo primeiro
        -5° = menos cinco graus | 3,14 = três vírgula catorze | 50 km/h = cinquenta quilômetros por hora
        R$ 0,50 = cinquenta centavos | R$ 5 milhões = cinco milhões de reais | n.º 5 = número cinco
        Luís XIV = luís catorze | 5-7 dias = cinco a sete dias
        ½ litro = meio litro | ¼ = um quarto | 2½ = dois e meio | 3¼ = três e um quarto | 1¾ = um e três quartos
        1/2 = meio | 3/2 = três meios | às 2:00 = às duas horas""",
    "nl_NL": """
        om 3:30 = om half vier | om 1:15 uur = om kwart over één | 12:30 = half één | 12:45 = kwart voor één
        7:05 = zeven uur vijf | 1/2 = een half | 5/2 = vijf halve | 2/3 = twee derde | 5/8 = vijf achtste
        in 1987 = in negentienhonderdzevenentachtig | in 2024 = in tweeduizendvierentwintig
        in 1100 = in elfhonderd | € 2,50 = twee euro vijftig | 1 € = een euro | 101e = honderdeerste
        1e = eerste | 8e = achtste | 20e = twintigste | -5° = min vijf graden | 3,14 = drie komma veertien
        50 km/h = vijftig kilometer per uur | Lodewijk XIV = lodewijk veertien | € 0,50 = vijftig cent
        1½ kg = één en een half kilo | 5-7 dagen = vijf tot zeven dagen
        ½ liter = een half liter | ¼ = een kwart | ¾ = driekwart | 2¼ = twee en een kwart | 2¾ = twee en driekwart
        1/4 = een kwart | 1/5 = een vijfde | in 1099 = in duizendnegenennegentig | om 23:30 = om half nul | om 13:45 = om kwart voor veertien
        om 7:00 = om zeven uur | om 7:01 = om zeven uur één | in 2000 = in tweeduizend | in 1999 = in negentienhonderdnegenennegentig""",
    "en_US": """
        at 1:05 = at one oh five | at 9:00 = at nine o'clock | 5pm = five p m | 10:10 = ten ten
        3/4 = three quarters | 5/8 = five eighths | 7/16 = seven sixteenths | 21/2 = twenty one halves
        2¼ cups = two and a quarter cups | in 2005 = in two thousand five | in 1900 = in nineteen hundred
        in 1905 = in nineteen oh five | 2010 = twenty ten | 1010 = ten ten | 1000 = one thousand
        2100 = two thousand one hundred | $2.50 = two dollars fifty | $0.05 = five cents | £1.01 = one pound one
        $3M = three million dollars | $5k = five thousand dollars | $5 million = five million dollars
        US$5 = five dollars | 24/7 = twenty four seven | 3.456 = three point four five six | 100th = one hundredth
        12th = twelfth | 50 mph = fifty miles per hour | 1 km = one kilometer | 1.5 km = one point five kilometers
        the 1800s = the eighteen hundreds | the '90s = the nineties | 3x = three times | 10-year-old = ten year old
        12345 = twelve thousand three hundred forty five | R2D2 = r two d two | 1,5 = one point five
        ½ = half | ⅓ = one third | ⅔ = two thirds | ¼ = one quarter | ¾ = three quarters | ⅕ = one fifth | ⅖ = two fifths
        ⅗ = three fifths | ⅘ = four fifths | ⅙ = one sixth | ⅛ = one eighth | ⅜ = three eighths | ⅝ = five eighths | ⅞ = seven eighths
        km = kilometers | 5 KM = five kilometers | °C = degrees celsius
        -1987 = minus one thousand nine hundred eighty seven | 1,987 = one thousand nine hundred eighty seven
        $1987 = one thousand nine hundred eighty seven dollars | 100000000000000 = one hundred trillion
        1111222233334444 = one one one one two two two two three three three three four four four four
        0 = zero | 00 = zero zero | 0.5 = zero point five | 10.05 = ten point zero five
        -1 km = minus one kilometer | -1° = minus one degree | 1° = one degree | 2° = two degrees
        -$5 = minus five dollars | $1.00 = one dollar | $5.00 = five dollars | $10.05 = ten dollars five | $1 million = one million dollars
        $1.5 million = one point five million dollars | $0.01 = one cent | $0.02 = two cents | $1,500.50 = one thousand five hundred dollars fifty
        €5 = five euros | 5€ = five euros | $2k = two thousand dollars | $1M = one million dollars
        7:00 pm = seven p m | 7:00pm = seven p m | 7:30pm = seven thirty p m | 12:15 am = twelve fifteen a m | 7 am = seven a m
        1,000th = one thousandth | 2ND = second | 80s = eighties | the '80s = the eighties | 1910s = nineteen tens | 2000s = two thousands
        4/4 = four quarters | 2/4 = two quarters | 1/4 = one quarter | 2 ½ = two and a half | 1/10 = one tenth | 10/20 = ten twentieths
        5% = five percent | ½% = half percent | 0.5% = zero point five percent | 5km = five kilometers | ½ km = half kilometers | 2½km = two and a half kilometers
        5-10% = five to ten percent | 20–30° = twenty to thirty degrees | 555-1234 = five five five one two three four | 1-2-3 = one two three
        1990-1995 = nineteen ninety to nineteen ninety five | 100-200 = one hundred to two hundred
        #1 = number one | 10+2 = ten plus two | 3D = three d | ABC1 = a b c one | b2b = b two b | 5x = five times
        5–10 waves = five to ten waves | 1990–1995 = nineteen ninety to nineteen ninety five | Page 3—10 shells = page three ten shells
        -£1.50 = minus one pound fifty | -$1 = minus one dollar | 2 x 3 = two times three
        $.50 = fifty cents | $.05 = five cents | -5% = minus five percent | 1987% = one thousand nine hundred eighty seven percent
        ROOM1 = room one | sea2sea = sea two sea | g = g | I have 3. Good. = i have three good | 1987 km = one thousand nine hundred eighty seven kilometers
        4½% = four and a half percent | 12:00 = twelve o'clock | 12:30 am = twelve thirty a m
        in 1910 = in nineteen ten | in 1909 = in nineteen oh nine | in 2009 = in two thousand nine | in 2000 = in two thousand | in 1100 = in eleven hundred | in 2099 = in twenty ninety nine
        12:00 = twelve o'clock | 13:00 = thirteen hundred | 7:10 = seven ten | 7:09 = seven oh nine | the 1900s = the nineteen hundreds | the 1920s = the nineteen twenties
        the 20s = the twenties | 10s = tens | 1/2 = one half | 3/2 = three halves | 1/3 = one third | 1½ cups = one and a half cups | 1¾ = one and three quarters | 2⅓ = two and a third
        20 = twenty | 21 = twenty one | 19 = nineteen | 99 = ninety nine | 100 = one hundred | 110 = one hundred ten | 999 = nine hundred ninety nine | 1001 = one thousand one
        €1.01 = one euro one | ¥5 = five yen | 50¢ = fifty cents | £1 = one pound | £2 = two pounds | 1 ft = one foot | 6 ft = six feet | 1 lb = one pound | 2 oz = two ounces | 3 tbsp = three tablespoons
        20th = twentieth | 21st = twenty first | 3rd = third | 5th = fifth | 8th = eighth | 9th = ninth | 40th = fortieth | 112th = one hundred twelfth""",
}
ROWS = [
    (code, *(part.strip() for part in row.split(" = ")))
    for code, rows in SAID.items()
    for line in rows.strip().splitlines()
    for row in line.split(" | ")
]


@pytest.mark.parametrize(("code", "written", "said"), ROWS)
def test_figures_are_said_as_the_language_says_them(code: str, written: str, said: str) -> None:
    assert spoken_form(written, code).lower() == said
