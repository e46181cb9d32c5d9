package privacy

import (
	"strings"

	"shortfall/ingest/rules"
)

// exactly are headers that mean an identifier where they stand alone, folded.
var exactly = phrases(map[rules.ID]string{
	rules.IdentifierName: `name; names; patient name; patients name; full name; nom; nombre; nome; navn; namn; naam; imie; initials;
		initialen; patient initials; alias; nickname; mother; father; parent; parents; guardian; next of kin; relative; employer;
		dentist name; doctor name; clinician name; member; 姓名; 氏名; 名前; имя; фио; фамилия; الاسم`,
	rules.IdentifierDate: `dob; d o b; born; born on; geb; geb dat; geboren; gebdatum; nee; ne le; nacimiento; naissance; nascita;
		nascimento; fodt; fodd; age above 89; 生年月日; 出生日期; дата рождения; date of death; died; admission; discharge;
		admission date; discharge date`,
	rules.IdentifierContact: `mail; mails; tel; tel no; mobile; mobile no; cell; cell no; handy; fax; fax no; ip; url; web; website; link;
		homepage; city; town; county; ort; wohnort; stadt; ville; ciudad; citta; plz; zip; cap; location; place of residence; region;
		postal; contact; contacts; contact details; 电话; 電話; 住所; 地址; адрес; телефон`,
	rules.IdentifierNumber: `mrn; mr no; ssn; nhs; nhs no; nhi; pid; chart; chart no; record no; file no; hospital no; hospital id;
		insurance; insurer; insurance no; policy; policy no; account; account no; acct; member id; beneficiary; passport; licence;
		license; license no; licence no; certificate; vin; plate; serial; serial no; device; device id; udi; sn; dni; nie; nif; ahv;
		avs; bsn; pesel; cpr; iban; krankenkasse; kasse; vers nr; versichertennr; aktennr; patientennr; patienten nr; tax no`,
	rules.IdentifierImage: `photo; photos; foto; fotos; picture; pictures; image; images; portrait; face; fingerprint; voice; iris scan;
		retina; scan file; scan files; file; file name; filename; stl; dicom`,
	rules.IdentifierText: `note; notes; comment; comments; remark; remarks; history; anamnesis; anamnese; diagnosis text; bemerkung;
		bemerkungen; notiz; notizen; kommentar; kommentare; remarques; commentaire; commentaires; observaciones; notas; comentarios;
		osservazioni; opmerkingen; anmerkung; anmerkungen; free text; freitext; narrative; reason text; letter; correspondence`,
})

// within are phrases that mean an identifier anywhere in a header.
var within = phrases(map[rules.ID]string{
	rules.IdentifierName: `first name; firstname; last name; lastname; middle name; maiden name; family name; given name; forename;
		surname; patient name; name of patient; vorname; nachname; familienname; patientenname; prenom; nom de famille; apellido;
		apellidos; cognome; sobrenome; fornavn; efternavn; etternavn; fornamn; efternamn; voornaam; achternaam; nazwisko`,
	rules.IdentifierDate: `date of birth; birth date; birthdate; birthday; birth day; year of birth; birth year; dob; geburtsdatum;
		geburtstag; geburtsjahr; date de naissance; fecha de nacimiento; data di nascita; data de nascimento; geboortedatum;
		fodselsdato; fodelsedatum; data urodzenia; date of death; death date`,
	rules.IdentifierContact: `e mail; email; phone; telephone; telefon; telefono; telefoon; cell number; mobile number; fax number; address;
		adresse; anschrift; direccion; indirizzo; endereco; street; strasse; zip code; zipcode; post code; postcode; postal code;
		postleitzahl; ip address; web page; url; whatsapp; social media`,
	rules.IdentifierNumber: `social security; national insurance; insurance number; insurance id; policy number; medical record; record number;
		chart number; hospital number; health plan; account number; licence number; license number; driver license; driving licence;
		passport number; id card; identity card; identity number; national id; vehicle; serial number; device serial; tax number;
		tax code; codice fiscale; versicherungsnummer; versichertennummer; krankenversicherung; sozialversicherung; patientennummer;
		aktennummer; numero de securite sociale; numero de seguridad social; personnummer; burgerservicenummer; nhs number;
		medicare; medicaid; member number; certificate number; invoice number; rechnungsnummer`,
	rules.IdentifierImage: `photograph; fingerprint; finger print; face scan; retina scan; voice print; image file; scan file; picture file; biometric`,
	rules.IdentifierText:  `free text; freetext; clinical notes; case notes; treatment notes; patient history; medical history; chief complaint`,
})

func phrases(lists map[rules.ID]string) map[string]rules.ID {
	m := map[string]rules.ID{}
	for id, list := range lists {
		for p := range strings.SplitSeq(list, ";") {
			m[fold(p)] = id
		}
	}
	return m
}

// byHeader gives the rule of a header that announces an identifier.
func byHeader(text string) rules.ID {
	f := fold(text)
	if id, ok := exactly[f]; ok {
		return id
	}
	ws := strings.Fields(f)
	for i := range ws {
		for n := 1; n <= 4 && i+n <= len(ws); n++ {
			if id, ok := within[strings.Join(ws[i:i+n], " ")]; ok {
				return id
			}
		}
	}
	return ""
}

// Announces reports a header that is one of the phrases by which identifiers are
// announced and nothing else: it repeats nothing of a person.
func Announces(text string) bool { return exactly[fold(text)] != "" }

// notesHeader: a column whose header announces free text.
func notesHeader(text string) bool { return byHeader(text) == rules.IdentifierText }
