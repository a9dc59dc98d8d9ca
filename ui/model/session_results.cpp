#include "ui/model/session_results.h"

namespace ui {
namespace {

KnownResults ofNothing()
{
    const auto empty = std::make_shared<const session::Document>();
    return {empty, std::make_shared<const analysis::Results>(analysis::compute(*empty)), {}, {}, {}};
}

/// Results that are known already of the same document are taken over.
KnownResults workedOut(const std::shared_ptr<const session::Document>& document, const KnownResults& known,
                       session::ConfigurationId first, session::ConfigurationId second)
{
    KnownResults made{document, known.results, first, second, {}};
    if (document != known.document)
        made.results = std::make_shared<const analysis::Results>(analysis::compute(*document));
    if (first && first != second && session::find(*document, first) && session::find(*document, second))
        made.pair = std::make_shared<const analysis::Results>(analysis::pairOf(*document, first, second));
    return made;
}

} // namespace

SessionResults::SessionResults(SessionModel& model, QObject* parent)
    : QObject(parent), m_model(model), m_known(ofNothing())
{
    connect(&model, &SessionModel::changed, this, &SessionResults::begin);
    connect(&model, &SessionModel::sessionReplaced, this, &SessionResults::restart);
    begin();
}

SessionResults::~SessionResults() = default;

bool SessionResults::upToDate() const
{
    const auto document = m_model.document();
    return document == m_failed
           || (document == m_known.document && m_first == m_known.first && m_second == m_known.second);
}

void SessionResults::askPair(session::ConfigurationId first, session::ConfigurationId second)
{
    m_first = first;
    m_second = second;
    begin();
}

void SessionResults::restart()
{
    ++m_session;
    m_known = ofNothing();
    m_any = false;
    m_first = m_second = {};
    emit changed();
    begin();
}

void SessionResults::begin()
{
    if (m_working || upToDate())
        return; // what is under way looks at the end whether there is more to do
    m_working = true;
    const auto document = m_model.document();
    m_worker.run([document, known = m_known, first = m_first,
                  second = m_second](std::stop_token) { return workedOut(document, known, first, second); },
                 [this, session = m_session](KnownResults made) {
                     m_working = false;
                     if (session == m_session) {
                         m_known = std::move(made);
                         m_any = true;
                         emit changed();
                     }
                     begin();
                 },
                 [this, document](const QString& sentence) {
                     m_working = false;
                     m_failed = document;
                     emit problem(tr("The results couldn't be worked out: %1").arg(sentence));
                     begin();
                 });
}

} // namespace ui
