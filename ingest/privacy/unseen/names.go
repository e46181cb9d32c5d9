package unseen

import "strings"

// people are given names and family names by culture, as they are written in Latin letters there.
var people = []struct{ given, family string }{
	{"Kadri Tarmo Riina Toomas Liis Margus Aivar Kertu", "Saar Tamm Rebane Ilves Kask Pärn Mägi Lepik"},       // Estonian
	{"Ieva Jānis Ilze Andris Dace Guntis Zane", "Kalniņa Bērziņš Ozols Liepiņa Krūmiņš Vītola"},               // Latvian
	{"Rūta Mindaugas Eglė Vytautas Daiva Giedrius", "Kazlauskas Petrauskienė Jankauskaitė Žukauskas Urbonas"}, // Lithuanian
	{"Nino Giorgi Tamar Levan Ketevan Zurab", "Beridze Kapanadze Gelashvili Maisuradze Tsiklauri"},            // Georgian
	{"Anahit Tigran Lusine Hovhannes Gayane", "Harutyunyan Sargsyan Grigoryan Petrosyan Hakobyan"},            // Armenian
	{"Aigerim Nursultan Zhanna Yerlan Dinara", "Nurmagambetov Akhmetova Suleimenov Bekov Zhumabayeva"},        // Kazakh
	{"Ainhoa Iker Nerea Gorka Maialen", "Etxeberria Goikoetxea Agirre Zubizarreta Mendizabal"},                // Basque
	{"Montserrat Jordi Núria Oriol Laia", "Puigdomènech Ferrer Vilanova Casals Serrat"},                       // Catalan
	{"Gwenllian Rhys Angharad Ieuan Carys", "Llewellyn Prydderch Gwyther Bebb Probert"},                       // Welsh
	{"Siobhán Padraig Aoife Cillian Niamh", "Ní Dhomhnaill|Ó Murchú|Mac Giolla Bhríde|Breathnach"},            // Irish
	{"Guðrún Þorsteinn Sigríður Björgvin Hrafnhildur", "Jónsdóttir Sigurðsson Einarsdóttir Þórarinsson"},      // Icelandic
	{"Wiremu Aroha Tane Mereana Hemi", "Ngata Parata Tamihere Rangihuna Waititi"},                             // Māori
	{"Keala Kaimana Leilani Ikaika Noelani", "Kealoha Kahananui Kamakau Nakamura Keawe"},                      // Hawaiian
	{"Murugan Kavitha Senthil Meenakshi Karthik", "Subramaniam Ponnusamy Rajendran Thangavel"},                // Tamil
	{"Nimal Dilrukshi Chaminda Sanduni Kusal", "Wickramasinghe Jayawardena Gunasekara Rathnayake"},            // Sinhala
	{"Gurpreet Harjit Manjeet Simran Jaswinder", "Dhaliwal Sandhu Grewal Bhullar Sidhu"},                      // Punjabi
	{"Tanvir Shahnaz Rafiqul Nusrat Mizanur", "Chowdhury Sarkar Mondal Talukder Bhuiyan"},                     // Bengali
	{"Babak Shirin Kaveh Niloufar Dariush", "Ghorbani Tavakoli Shahbazi Rostami Jafarzadeh"},                  // Persian
	{"Rojda Azad Berivan Serhat Zilan", "Barzani Demirtaş Öcal Kaya Bozarslan"},                               // Kurdish
	{"Chidinma Emeka Ngozi Obinna Adaeze", "Okonkwo Nwosu Eze Onyekachi Anyanwu"},                             // Igbo
	{"Folasade Babatunde Omolara Adewale Yetunde", "Adeyemi Ogunleye Afolabi Balogun Oyelaran"},               // Yoruba
	{"Sipho Nomvula Thandeka Bongani Lindiwe", "Dlamini Mthembu Khumalo Zulu Ndlovu"},                         // Zulu
	{"Abdirahman Hodan Faduma Warsame Ayaan", "Farah Jama Warsame Abdullahi Guled"},                           // Somali
	{"Tesfaye Selamawit Haile Meseret Dawit", "Bekele Gebremariam Wolde Tadesse Alemu"},                       // Ethiopian
	{"Illari Wayra Killa Rumi Sayri", "Quispe Mamani Condori Huanca Ccori"},                                   // Quechua
	{"Maricel Jomar Rowena Arnel Cristeta", "Dimaculangan Magsaysay Bautista Macaraeg Pangilinan"},            // Filipino
	{"Siti Budi Wulandari Agus Dewi Bambang", "Hidayat Suryadi Kusumawati Prasetyo Wibowo"},                   // Javanese
	{"Batbayar Oyunchimeg Ganbold Sarantuya Enkhjargal", "Dorjsuren Ganbaatar Tserendorj Purevdorj"},          // Mongolian
	{"Thida Kyaw Zaw Aung Phyu", "Soe|Htun|Myint|Naing|Lwin Oo"},                                              // Burmese
	{"Sophea Rithy Bopha Vanna Dara", "Chhim Khieu Prak Sok Nhem"},                                            // Khmer
	{"Jelena Dragan Snežana Zoran Biljana", "Jovanović Petrović Stojanović Živković"},                         // Serbian
	{"Mojca Gregor Špela Blaž Nejc", "Novak Zupančič Kovačič Hribar Golob"},                                   // Slovene
	{"Oksana Taras Bohdan Solomiya Ostap", "Shevchenko Kovalenko Bondarchuk Tkachuk Melnyk"},                  // Ukrainian
	{"Desislava Krasimir Tsvetelina Plamen", "Georgieva Dimitrov Stoyanova Kolev"},                            // Bulgarian
	{"Bukurije Agron Drita Besnik Teuta", "Hoxha Krasniqi Gashi Berisha Shehu"},                               // Albanian
	{"Xurxo Uxía Brais Iria Antía", "Castiñeiras Outeiro Pazos Lamela"},                                       // Galician
	{"Maarika Päivi Jyrki Sirpa Tuomas", "Hämäläinen Korhonen Mäkelä Räsänen Virtanen"},                       // Finnish
	{"Mele Sione Salote Tevita Lupe", "Taufa Vainikolo Tupou Fonua"},                                          // Tongan
	{"Orsolya Zsófia Gergely Boglárka Levente", "Szalai Juhász Fazekas Halász"},                               // Hungarian
	{"Catrinel Ionuţ Ruxandra Bogdan Anca", "Munteanu Ciobanu Ungureanu Dumitrache"},                          // Romanian
}

// native are whole names in their own letters.
var native = []string{
	"ნინო ბერიძე", "გიორგი კაპანაძე", "Անահիտ Սարգսյան", "Տիգրան Գրիգորյան", "Оксана Шевченко", "Тарас Бондарчук", "Десислава Георгиева",
	"Ελευθερία Παπαδοπούλου", "Γιώργος Αναγνωστόπουλος", "נועה פרידמן", "איתי מזרחי", "شیرین قربانی", "بابک توکلی", "สมชาย ใจดี", "มาลี ศรีสุข",
	"முருகன் சுப்பிரமணியம்", "তানভীর চৌধুরী", "ਗੁਰਪ੍ਰੀਤ ਸਿੰਘ", "ተስፋዬ በቀለ", "김민지", "박서준", "佐々木 恵", "たかはし ゆうこ", "王秀英", "欧阳娜娜", "Батбаяр Доржсүрэн", "အောင်ကျော်",
}

func (m *maker) person() (given, family string) {
	p := people[m.IntN(len(people))]
	families := strings.Fields(p.family)
	if strings.Contains(p.family, "|") {
		families = strings.Split(p.family, "|")
	}
	family = families[m.IntN(len(families))]
	m.names = append(m.names, family, plain.Replace(family))
	return m.word(p.given), family
}

// plain drops the marks of letters, as a person at a keyboard without them does.
var plain = strings.NewReplacer("ā", "a", "ē", "e", "ī", "i", "ū", "u", "ņ", "n", "ļ", "l", "š", "s", "ž", "z", "č", "c", "ć", "c", "ä", "a", "ö", "o", "ü", "u",
	"õ", "o", "é", "e", "è", "e", "á", "a", "í", "i", "ó", "o", "ú", "u", "ñ", "n", "ş", "s", "ţ", "t", "Ž", "Z", "Š", "S", "Þ", "Th", "þ", "th", "ð", "d", "ė", "e", "Ö", "O", "Ó", "O")

// starts is the first n letters of a name without marks.
func starts(name string, n int) string {
	r := []rune(strings.ReplaceAll(plain.Replace(name), " ", ""))
	return string(r[:min(n, len(r))])
}
