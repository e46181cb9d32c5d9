import json,sys,glob
for b in sys.argv[2:]:
    for f in sorted(glob.glob('./specs/%s*.json'%b)):
        s=json.load(open(f)); t=json.load(open('../'+s['file'].rsplit('.',1)[0]+'.truth.json'))
        print('=====',s['file'],t['kind'],'|',t['layout'],'|',t['facts'],t.get('refuse',''))
        for sh in s['sheets'][:3]:
            print('--',sh['name'])
            for r in sh['rows'][:int(sys.argv[1])]: print('   ',' | '.join('' if z is None else str(z.get('v',z.get('d'))) if isinstance(z,dict) else str(z) for z in r))
        for x in t['records'][:3]: print('   T',x['case'],x['course'],x['tooth'],x['axis'],x['planned'],x['achieved'],x['style'])
