#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/clock/frame_field.h"

class QGridLayout;
class QScrollArea;
class QStackedWidget;

namespace ui {

class EventsForm;
class PictureFindings;
class PicturesPanel;
class PiecesPanel;
class PlanForm;
class ReadoutPanel;
class ReferencePanel;
class SectionBar;
class StampPanel;
class TagsPanel;

/// What is worked on below a clock's evidence: one section at a time, remembered from one start to the next. Where
/// there is room the reference fit stays beside the others.
class SectionDeck : public QWidget {
    Q_OBJECT
public:
    explicit SectionDeck(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ClockId clock);
    void setFrameInView(AskFrameInView ask);
    void setPictureFindings(const PictureFindings& findings); ///< outlives this
    void step(int by);                                        ///< to the next section
    int tags() const;
    int damagedTags() const;

protected:
    void resizeEvent(QResizeEvent*) override;

signals:
    void clockAsked(session::ClockId id);

private:
    void addSection(const char* id, const QString& name, QWidget* content);
    void showBar(const session::Document& document, session::ClockId clock);
    void setWide(bool wide);
    void showChosen();
    void goInto();

    struct Section {
        QString id, name;
        QScrollArea* area;
    };
    SessionModel& m_model;
    session::ClockId m_clock;
    bool m_wide = false;
    std::vector<Section> m_sections; ///< the first is the reference fit
    SectionBar* m_bar;
    QGridLayout* m_grid;
    QWidget* m_beside; ///< the sections but the reference fit
    QStackedWidget* m_stack;
    ReferencePanel* m_reference;
    EventsForm *m_events, *m_refreshes;
    PlanForm* m_plan;
    TagsPanel* m_tags;
    StampPanel* m_stamps;
    PiecesPanel* m_pieces;
    PicturesPanel* m_pictures;
    ReadoutPanel* m_readout;
};

} // namespace ui
